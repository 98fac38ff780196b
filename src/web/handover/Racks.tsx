import { momentsAhead } from '../../core/run/ahead.js';
import { actionsOf, leftMs, type NextAction, nextActions, type StepTime } from '../../core/run/next.js';
import { Link } from 'react-aria-components';
import { actionTitle } from '../bench/actionTitle.js';
import type { Standing } from '../bench/bench.js';
import { useCountdown } from '../bench/Timer.js';
import { BENCH, stepName } from '../bench/words.js';
import { someLabels, spanText } from '../parts/format.js';
import { Tag } from '../parts/Page.js';
import { beatNow, useBeat } from '../parts/ticker.js';
import { HANDOVER } from './words.js';

const words = HANDOVER.page;
const MINUTE_MS = 60_000;
const EYES = 6;

/** Every run on the benches: what is next of it, and for how long it goes on. */
export function Racks({ runs }: { runs: readonly Standing[] }) {
  const order = nextActions(runs, beatNow()).map(({ runId }) => runId);
  const sorted = [...runs].sort((a, b) => order.indexOf(a.id) - order.indexOf(b.id));
  return (
    <ul className="lines">
      {sorted.map((run) => (
        <li key={run.id} className="rack">
          <div>
            <Link href={`/?run=${run.id}`} className="line-title">
              {run.view.revision.content.title}
            </Link>
            <p className="small">
              {run.view.station} · {someLabels(run.subjects.map(({ label }) => label))}
            </p>
          </div>
          <ul>
            {actionsOf(run).map((action) => (
              <li key={`${action.kind} ${action.step?.id ?? ''}`}>
                <NextMoment action={action} run={run} />
              </li>
            ))}
          </ul>
          <Still run={run} />
        </li>
      ))}
    </ul>
  );
}

function NextMoment({ action, run }: { action: NextAction; run: Standing }) {
  const { phase, word, text } = useCountdown(action);
  return (
    <>
      <strong>{actionTitle(action, run)}</strong>{' '}
      {phase !== 'open' && <Tag frame={phase === 'early' ? 'soft' : 'full'}>{BENCH.phase[phase]}</Tag>}{' '}
      <span className="small">
        {BENCH.countdown[word]} <span className="figures">{text}</span>
      </span>
    </>
  );
}

function Still({ run: { state } }: { run: Standing }) {
  const minutes = (which: StepTime) => (now: ReturnType<typeof beatNow>) =>
    Math.ceil(leftMs(state, now, which) / MINUTE_MS);
  const aim = useBeat(minutes('target'));
  const least = useBeat(minutes('least'));
  const most = useBeat(minutes('most'));
  return (
    <p className="small figures">
      {most === 0 ? words.stepsDone : words.still(Math.max(aim, 1), Math.max(least, 1), most)}
    </p>
  );
}

/** What has to be judged by eye next, over all runs. */
export function Eyes({ runs }: { runs: readonly Standing[] }) {
  const eyes = runs
    .flatMap((run) => momentsAhead(run, beatNow()).map((moment) => ({ ...moment, run })))
    .filter(({ byEye }) => byEye)
    .sort((a, b) => a.inMs - b.inMs);
  if (eyes.length === 0) return <p>{words.noEyes}</p>;
  return (
    <ul className="lines">
      {eyes.slice(0, EYES).map(({ run, step }) => (
        <li key={`${run.id} ${step.id}`}>
          <strong>{stepName(step)}</strong> <Eye run={run} step={step.id} />
          <p className="small">
            {run.view.station} · {run.view.revision.content.title}
          </p>
        </li>
      ))}
      {eyes.length > EYES && <li className="small">{words.moreEyes(eyes.length - EYES)}</li>}
    </ul>
  );
}

function Eye({ run, step }: { run: Standing; step: string }) {
  const text = useBeat((now) => {
    const inMs = momentsAhead(run, now).find((moment) => moment.byEye && moment.step.id === step)?.inMs ?? 0;
    return inMs < MINUTE_MS ? words.now : words.inAbout(spanText(Math.round(inMs / MINUTE_MS) * MINUTE_MS));
  });
  return <span className="small figures">{text}</span>;
}
