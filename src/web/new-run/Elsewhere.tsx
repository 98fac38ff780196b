import { useSession } from '../app/session.js';
import { type Standing, useBench } from '../bench/bench.js';
import { NEW_RUN as words } from './words.js';

/** On which other runs of the benches something stands already, and how far those are: by design, or by a mistaken label. */
export function Elsewhere({ subjectId }: { subjectId: string }) {
  const { format } = useSession();
  const { runs = [] } = useBench();
  return runs
    .filter(({ subjects }) => subjects.some((each) => each.subjectId === subjectId))
    .map((run) => (
      <p key={run.id} className="held-note" role="status">
        {words.elsewhere(run.view.revision.content.title, run.view.station, format.clock(run.startedAt).slice(0, 5))}{' '}
        {stands(run)}
      </p>
    ));
}

function stands({ state: { steps } }: Standing): string {
  const under = steps.findLast(({ performances }) => performances.length > 0 && !performances.at(-1)?.ended);
  if (under) return words.under(under.step.action);
  return words.stepsDone(steps.filter(({ performances }) => performances.at(-1)?.ended).length, steps.length);
}
