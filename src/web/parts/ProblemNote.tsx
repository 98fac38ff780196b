import { Problem } from '../api.js';
import { WORDS } from '../words.js';
import { Button } from './Button.js';
import { useTimesWithin } from './times-within.js';

function whatToDo({ status, code, problems }: Problem): string {
  const words = WORDS.problem;
  if (code === 'wrong-password') return words.password;
  if (code === 'badge-or-pin') return words.badge;
  if (status === 0 || status >= 502 || code === 'no-pass') return words.noAnswer;
  if (status === 401) return words.lost;
  // What is named can be mended here; else it is the person who may not, or somebody else who came first.
  if (status === 422 || problems.length > 0) return words.invalid;
  if (status === 403) return words.forbidden;
  if (status === 409) return words.conflict;
  return status === 429 ? words.tooMany : words.other;
}

/** Whoever pressed a button at the foot of a long form sees at once that it did not work. */
function intoSight(note: HTMLElement | null): void {
  note?.scrollIntoView({ block: 'nearest' });
}

/** What went wrong and what to do about it, in the place where it happened. */
export function ProblemNote({ problem, onRetry }: { problem: Error | null; onRetry?: () => void }) {
  const within = useTimesWithin();
  if (problem === null) return null;
  const known = problem instanceof Problem ? problem : new Problem(500, 'unexpected', problem.message, problem.message);
  return (
    <div className="problem" role="alert" ref={intoSight}>
      <p className="problem-title">{within(known.detail || known.title)}</p>
      {known.more.length > 0 && (
        <ul>
          {known.more.map(({ at, message }) => (
            <li key={at + message}>
              {at && !message.startsWith(`${at} `) && <code>{at}</code>} {within(message)}
            </li>
          ))}
        </ul>
      )}
      <p>
        <strong>{WORDS.problem.whatToDo}:</strong> {whatToDo(known)}
      </p>
      {known.requestId && (
        <p className="small">
          {WORDS.request} <code>{known.requestId}</code>
        </p>
      )}
      {onRetry && <Button onPress={onRetry}>{WORDS.tryAgain}</Button>}
    </div>
  );
}
