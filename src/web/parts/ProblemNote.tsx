import { useEffect, useRef } from 'react';
import { Problem } from '../api.js';
import { WORDS } from '../words.js';
import { Button } from './Button.js';
import { useTimesWithin } from './times-within.js';

const WRONG_PASSWORD = ['wrong-password', 'sign-in-failed'];

function whatToDo({ status, code, problems }: Problem): string {
  const words = WORDS.problem;
  if (WRONG_PASSWORD.includes(code)) return words.password;
  if (code === 'badge-or-pin') return words.badge;
  if (status === 0 || status >= 502 || code === 'no-pass') return words.noAnswer;
  if (status === 401) return words.lost;
  // What is named can be mended here; else it is the person who may not, or somebody else who came first.
  if (status === 429) return words.tooMany;
  if (status === 422 || problems.length > 0) return words.invalid;
  if (status === 403) return words.forbidden;
  if (status === 409) return words.conflict;
  return words.other;
}

/** The field of the form around a note that has to be typed again; null where none or more than one might be meant. */
function fieldToMend(note: HTMLElement, problem: Error): HTMLInputElement | null {
  const form = note.closest('form');
  if (!form || !(problem instanceof Problem)) return null;
  const marked = form.querySelector<HTMLInputElement>('input[aria-invalid="true"]');
  if (problem.problems.length > 0 && marked) return marked;
  const [password, another] = form.querySelectorAll<HTMLInputElement>('input[type="password"]');
  return WRONG_PASSWORD.includes(problem.code) && password && !another ? password : null;
}

/** What went wrong and what to do about it, in the place where it happened. */
export function ProblemNote({
  problem,
  isBeside = () => false,
  onRetry,
}: {
  problem: Error | null;
  /** Whether what is told of this address stands beside its field already. */
  isBeside?: (at: string) => boolean;
  onRetry?: () => void;
}) {
  const within = useTimesWithin();
  const note = useRef<HTMLDivElement>(null);
  // Whoever pressed a button at the foot of a long form sees at once that it did not work, and types over what was wrong.
  useEffect(() => {
    if (!note.current || problem === null) return;
    note.current.scrollIntoView({ block: 'nearest' });
    const field = fieldToMend(note.current, problem);
    field?.focus();
    field?.select();
  }, [problem]);
  if (problem === null) return null;
  const known = problem instanceof Problem ? problem : new Problem(500, 'unexpected', problem.message, problem.message);
  const elsewhere = known.more.filter(({ at }) => !isBeside(at));
  return (
    <div className="problem" role="alert" ref={note}>
      <p className="problem-title">{within(known.detail || known.title)}</p>
      {elsewhere.length > 0 && (
        <ul>
          {elsewhere.map(({ at, message }) => (
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
