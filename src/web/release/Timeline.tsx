import type { Finding } from '../../core/gate/finding.js';
import { gapWindow, stepWindow, targetMs } from '../../core/protocol/windows.js';
import { eventsOf, type Performance, type RunState, type StepState } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import type { Window } from '../../core/time/duration.js';
import { span } from '../../core/time/span.js';
import { useSession } from '../app/session.js';
import { useGateText } from '../bench/gateText.js';
import { Tag } from '../parts/Page.js';
import { findingAnchor } from './FindingList.js';
import { measure, type Measured, type TimeVerdict } from './measure.js';
import { RELEASE } from './words.js';

const words = RELEASE.timeline;

const FRAMES = { within: 'plain', short: 'full', long: 'full', indeterminate: 'double', torn: 'double' } as const;

/** Each step's time drawn against its own window, with the same in words beside it. */
export function Timeline({ run, state, findings }: { run: RunView; state: RunState; findings: readonly Finding[] }) {
  return (
    <>
      <Key />
      <ol className="timed">
        {state.steps.map((step) => (
          <StepRow key={step.step.id} run={run} state={state} at={step} findings={findings} />
        ))}
      </ol>
    </>
  );
}

function StepRow({
  run,
  state,
  at: { step, index, performances },
  findings,
}: {
  run: RunView;
  state: RunState;
  at: StepState;
  findings: readonly Finding[];
}) {
  const said = useGateText();
  const window = stepWindow(step);
  const before = state.steps.slice(0, index).findLast((each) => each.performances.length > 0);
  const own = findings.filter(({ id }) => id.endsWith(`:${step.id}`));
  const shown: (Performance | null)[] = performances.length > 0 ? performances : [null];
  return (
    <li className="timed-step">
      <div>
        <p className="timed-action">{step.action}</p>
        <p className="small">
          {words.window(text(window.minMs), text(window.maxMs))} · {words.target(span(targetMs(step)))}
          {step.critical && ` · ${words.critical}`}
          {step.end === 'eye' && ` · ${words.byEye}`}
        </p>
      </div>
      {shown.map((performance, n) => (
        <Performed
          key={performance?.started.eventId ?? 'none'}
          run={run}
          state={state}
          step={step}
          window={window}
          performance={performance}
          before={n === 0 ? before?.performances.at(-1) : undefined}
          again={n}
        />
      ))}
      {own.length > 0 && (
        <p className="timed-found small">
          {own.map(({ id, what }) => (
            <a key={id} href={`#${findingAnchor(id)}`}>
              {said(what)}
            </a>
          ))}
        </p>
      )}
    </li>
  );
}

function Performed({
  run,
  state,
  step,
  window,
  performance,
  before,
  again,
}: {
  run: RunView;
  state: RunState;
  step: StepState['step'];
  window: Window;
  performance: Performance | null;
  before: Performance | undefined;
  /** How often it was done before. */
  again: number;
}) {
  const { format } = useSession();
  const measured = performance?.ended ? measure(performance.started.stamp, performance.ended.stamp, window) : null;
  const limit = gapWindow(step);
  const gap =
    limit && performance && before?.ended ? measure(before.ended.stamp, performance.started.stamp, limit) : null;
  const readings = eventsOf(state.events, 'temperature-read').filter(({ data }) => data.step === step.id);
  return (
    <div className="timed-performed">
      <Drawn window={window} target={targetMs(step)} measured={measured} />
      <div>
        <p>
          {!performance && (
            <Tag frame="soft">{step.optional && wentOn(state, step.id) ? words.leftOut : words.notDone}</Tag>
          )}
          {performance && !performance.ended && (
            <Tag frame="soft">{words.running(format.clock(performance.started.stamp.at))}</Tag>
          )}
          {measured && (
            <>
              <span className="figures timed-took">{inWords(measured)}</span>{' '}
              <Tag frame={FRAMES[measured.verdict]}>{words.verdict[measured.verdict]}</Tag>
            </>
          )}
        </p>
        {performance && (
          <p className="small">
            {performance.ended && (
              <span className="figures">
                {words.from(format.clock(performance.started.stamp.at), format.clock(performance.ended.stamp.at))}
              </span>
            )}
            {performance.ended?.judgedBy &&
              ` · ${words.judgedBy(run.people[performance.ended.judgedBy] ?? performance.ended.judgedBy)}`}
            {again > 0 && ` · ${words.again(again + 1)}`}
            {(performance.started.stamp.late || performance.ended?.stamp.late) && ` · ${words.late}`}
          </p>
        )}
        {gap && (
          <p className="small">
            {words.gap(inWords(gap), text(limit?.maxMs ?? null) ?? '', words.gapVerdict[gap.verdict])}
          </p>
        )}
        {again === 0 && readings.length > 0 && (
          <p className="small">
            {readings.map(({ data }) => words.temperature(`${data.value} ${data.unit}`)).join(' · ')}
          </p>
        )}
      </div>
    </div>
  );
}

/** Whether a later step was begun. */
function wentOn({ steps }: RunState, id: string): boolean {
  const index = steps.findIndex(({ step }) => step.id === id);
  return steps.slice(index + 1).some(({ performances }) => performances.length > 0);
}

function text(ms: number | null): string | null {
  return ms === null ? null : span(ms);
}

function inWords({ elapsed }: Measured): string {
  if (!elapsed) return '';
  return words.took(span(elapsed.durationMs), text(elapsed.uncertaintyMs));
}

/** How much of the width is left free at each side, in per cent. */
const MARGIN = 3;

/** The window as a bar, the target as a tick, the measured time as a mark with whiskers; all of it is also in words. */
function Drawn({ window, target, measured }: { window: Window; target: number; measured: Measured | null }) {
  const took = measured?.elapsed ?? null;
  const longest = Math.max(
    window.maxMs ?? target * 1.4,
    target,
    took ? took.durationMs + (took.uncertaintyMs ?? 0) : 0,
  );
  const scale = longest * 1.12 || 1;
  const x = (ms: number): string =>
    `${(MARGIN + (100 - 2 * MARGIN) * Math.min(Math.max(ms / scale, 0), 1)).toFixed(2)}%`;
  const [from, to] = [window.minMs ?? 0, window.maxMs ?? scale];
  const half = took?.uncertaintyMs ?? null;
  return (
    <svg className="drawn" width="100%" height="40" aria-hidden="true">
      <line className="drawn-axis" x1="0" x2="100%" y1="30" y2="30" />
      <rect
        className="drawn-window"
        x={x(from)}
        y="10"
        width={`${parseFloat(x(to)) - parseFloat(x(from))}%`}
        height="20"
      />
      {window.minMs !== null && <line className="drawn-end" x1={x(from)} x2={x(from)} y1="6" y2="34" />}
      {window.maxMs !== null && <line className="drawn-end" x1={x(to)} x2={x(to)} y1="6" y2="34" />}
      <line className="drawn-target" x1={x(target)} x2={x(target)} y1="4" y2="34" />
      {took && measured && (
        <>
          <line
            className={half === null ? 'drawn-half drawn-unbound' : 'drawn-half'}
            x1={half === null ? '0' : x(took.durationMs - half)}
            x2={half === null ? '100%' : x(took.durationMs + half)}
            y1="20"
            y2="20"
          />
          {half !== null &&
            [took.durationMs - half, took.durationMs + half].map((end, n) => (
              <line key={n} className="drawn-half" x1={x(end)} x2={x(end)} y1="14" y2="26" />
            ))}
          <svg x={x(took.durationMs)} y="20" overflow="visible">
            <path className="drawn-mark" d={MARKS[measured.verdict]} />
          </svg>
        </>
      )}
    </svg>
  );
}

/** A disc in the window, an arrowhead that points out of it, an open lozenge where nobody can tell. */
const MARKS: Record<TimeVerdict, string> = {
  within: 'M -6 0 a 6 6 0 1 0 12 0 a 6 6 0 1 0 -12 0',
  short: 'M 6 -8 L -8 0 L 6 8 Z',
  long: 'M -6 -8 L 8 0 L -6 8 Z',
  indeterminate: 'M 0 -9 L 9 0 L 0 9 L -9 0 Z M 0 -4 L -4 0 L 0 4 L 4 0 Z',
  torn: 'M 0 -9 L 9 0 L 0 9 L -9 0 Z M 0 -4 L -4 0 L 0 4 L 4 0 Z',
};

function Key() {
  return (
    <p className="timed-key small" aria-hidden="true">
      <span>
        <svg width="46" height="24">
          <rect className="drawn-window" x="3" y="4" width="40" height="16" />
          <line className="drawn-end" x1="3" x2="3" y1="1" y2="23" />
          <line className="drawn-end" x1="43" x2="43" y1="1" y2="23" />
        </svg>
        {words.key.window}
      </span>
      <span>
        <svg width="12" height="24">
          <line className="drawn-target" x1="6" x2="6" y1="0" y2="24" />
        </svg>
        {words.key.target}
      </span>
      <span>
        <svg width="46" height="24">
          <line className="drawn-half" x1="4" x2="42" y1="12" y2="12" />
          <line className="drawn-half" x1="4" x2="4" y1="6" y2="18" />
          <line className="drawn-half" x1="42" x2="42" y1="6" y2="18" />
          <svg x="23" y="12" overflow="visible">
            <path className="drawn-mark" d={MARKS.within} />
          </svg>
        </svg>
        {words.key.measured}
      </span>
    </p>
  );
}
