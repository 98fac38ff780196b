import type { RunView } from '../../core/run/view.js';
import { plusMs } from '../../core/time/instant.js';
import { useSession } from '../app/session.js';
import { Part } from '../parts/Page.js';
import { controlName, Pictures, Readings, ResultTags } from './parts.js';
import { useResults } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.release;
const DAY_MS = 86_400_000;

/** For the releaser beside the case: what controls of the same stain showed on the day of the run, with their pictures. */
export function DayControls({ run }: { run: RunView }) {
  const { format } = useSession();
  const { content } = run.revision;
  const dayOf = (at: string): string => format.lastDay(plusMs(at, 1));
  const { data } = useResults({
    protocol: content.id,
    from: plusMs(run.startedAt, -DAY_MS),
    to: plusMs(run.startedAt, DAY_MS),
  });
  if (!data) return null;
  const items = data.items.filter(
    ({ runId, stainedAt }) => runId === run.id || dayOf(stainedAt) === dayOf(run.startedAt),
  );
  return (
    <Part title={words.title} about={words.about}>
      {items.length === 0 && <p>{words.none}</p>}
      <ul className="lines">
        {items.map((result) => (
          <li key={result.id}>
            <p>
              <strong>{controlName(result)}</strong> <ResultTags result={result} />{' '}
              <span className="small figures">{format.dayAndClock(result.at)}</span>
            </p>
            <Readings result={result} />
            <Pictures result={result} />
          </li>
        ))}
      </ul>
    </Part>
  );
}
