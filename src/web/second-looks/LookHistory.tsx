import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import type { Release } from '../api.paths.js';
import { useGateText } from '../bench/gateText.js';
import { WeightMark } from '../release/FindingList.js';
import '../release/release.css';
import './second-looks.css';
import { SECOND_LOOKS as words } from './words.js';

/** What the gate said of a release when it was signed, beside what it says now. */
export function ThenAndNow({ release }: { release: Release }) {
  const { format } = useSession();
  const { findings, exception, judgedTo, rules, looks } = release;
  const over = findings.filter(({ id }) => exception?.findings.includes(id));
  const latest = looks.find(({ answer }) => answer?.outcome === 'worsened') ?? looks.find(({ answer }) => answer);
  const answer = latest?.answer ?? null;
  return (
    <div className="then-now">
      <div>
        <p className="then-now-title">{words.then}</p>
        <p>{exception ? words.held : words.clear}</p>
        <Findings findings={over} />
        {findings.length > over.length && <p className="small">{words.settled(findings.length - over.length)}</p>}
        <p className="small">{words.judged(judgedTo, rules)}</p>
      </div>
      <div className={answer?.outcome === 'worsened' ? 'now-worse' : undefined}>
        <p className="then-now-title">{words.now}</p>
        {answer === null ? <p>{words.waits}</p> : answer.worse.length === 0 && <p>{words.holds}</p>}
        <Findings findings={answer?.worse ?? []} mends />
        {answer && (
          <p className="small">
            {words.judged(answer.judgedTo, answer.rules)}, {format.dayAndClock(answer.at)}
          </p>
        )}
        {answer && answer.told.length > 0 && <p className="small">{words.told(answer.told.join(', '))}</p>}
      </div>
    </div>
  );
}

function Findings({ findings, mends = false }: { findings: readonly Release['findings'][number][]; mends?: boolean }) {
  const text = useGateText();
  if (findings.length === 0) return null;
  return (
    <ul className="held-by">
      {findings.map((finding) => (
        <li key={finding.id}>
          <WeightMark finding={finding} />
          <span>
            {text(finding.what)} {mends && <span className="small">{finding.mend}</span>}
          </span>
        </li>
      ))}
    </ul>
  );
}

/** Every second look at a release with its cause, and how it ended. */
export function LookHistory({ release }: { release: Release }) {
  const { format } = useSession();
  const { looks, upheld } = release;
  return (
    <details>
      <summary>{words.history(looks.length)}</summary>
      <ul className="look-history">
        {looks.map(({ lookId, cause, reason, path, openedAt, answer }) => (
          <li key={lookId}>
            <strong>{words.causes[cause]}.</strong>{' '}
            <span className="small figures">
              <time dateTime={openedAt}>{format.dayAndClock(openedAt)}</time>
            </span>{' '}
            {format.within(reason)} <Link href={path}>{words.toCause}</Link>{' '}
            <span className="small">{answer === null ? words.waits : answer.outcome}</span>
          </li>
        ))}
        {upheld.map(({ at, reason, signature, second }) => (
          <li key={at}>
            {words.upheld(signature.name, format.dayAndClock(at), reason)} {second && words.secondBy(second.name)}
          </li>
        ))}
      </ul>
    </details>
  );
}
