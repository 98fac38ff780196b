import { Link } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { useCurrentPlan } from './queries.js';
import { PLAN } from './words.js';
import './planned-runs.css';

/** The runs of the accepted plan that nobody has started yet, with when to start each. */
export function PlannedRuns() {
  const { format, may } = useSession();
  const { data } = useCurrentPlan();
  const waiting = data?.plan?.waiting.filter(({ startedRunId }) => startedRunId === null) ?? [];
  if (waiting.length === 0) return null;
  const words = PLAN.bench;
  return (
    <section className="planned-runs" aria-labelledby="planned-runs">
      <h2 id="planned-runs">{words.title}</h2>
      <ol className="plain-list">
        {waiting.map(({ id, title, revisionId, startsAt, slides }) => (
          <li key={id}>
            <span>
              <strong>{title}</strong>{' '}
              <span className="small">
                {PLAN.slidesOf(slides)} · <span className="figures">{words.startAt(format.clock(startsAt))}</span>
              </span>
            </span>
            {may('technician', 'releaser') && (
              <Link
                className="button button-plain"
                href={`/runs/new?revision=${encodeURIComponent(revisionId)}`}
                aria-label={words.startRun(title, format.clock(startsAt))}
              >
                {words.start}
              </Link>
            )}
          </li>
        ))}
      </ol>
    </section>
  );
}
