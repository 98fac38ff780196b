import type { NextAction } from '../../core/run/next.js';
import { useSession } from '../app/session.js';
import { someLabels } from '../parts/format.js';
import { actionTitle } from './actionTitle.js';
import type { Standing } from './bench.js';
import { Ruler } from './Ruler.js';
import { useCountdown } from './Timer.js';
import { BENCH } from './words.js';

/** One run in the list: where, what, on whom, and how it stands. */
export function RunLine({
  run,
  action,
  open,
  onOpen,
}: {
  run: Standing;
  action: NextAction | null;
  open: boolean;
  onOpen: () => void;
}) {
  const { view, subjects, state } = run;
  const done = state.steps.filter(({ performances }) => performances.at(-1)?.ended).length;
  return (
    <button type="button" className="run-line" aria-pressed={open} onClick={onOpen}>
      <span className="run-line-head">
        <strong>{view.revision.content.title}</strong>
        <span className="small">
          {view.station} · {done}/{state.steps.length}
        </span>
      </span>
      <span className="small">
        {someLabels(subjects.map(({ label }) => label))}
        {view.purpose !== 'patients' && <> · {BENCH.purposes[view.purpose]}</>}
      </span>
      {action && <LineTimer action={action} run={run} />}
    </button>
  );
}

function LineTimer({ action, run }: { action: NextAction; run: Standing }) {
  const { format } = useSession();
  const { phase, word, text } = useCountdown(action);
  return (
    <span className={`line-timer phase-${phase}`}>
      <span>{actionTitle(action, run)}</span>
      <span>
        {phase !== 'open' && <span className="phase-word">{BENCH.phase[phase]}</span>} {BENCH.countdown[word]}{' '}
        <span className="figures line-count">{text}</span>
      </span>
      <Ruler action={action} />
      {action.planned !== null && <span className="small">{BENCH.plan.at(format.clock(action.planned))}</span>}
    </span>
  );
}
