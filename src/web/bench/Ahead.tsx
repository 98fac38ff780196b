import { type ReactNode, useMemo } from 'react';
import { clashSpans, type MomentOfRun } from '../../core/run/ahead.js';
import { epochMs, instantOf } from '../../core/time/instant.js';
import { useSession } from '../app/session.js';
import { beatNow, useBeat } from '../parts/ticker.js';
import './ahead.css';
import { aheadOf, clashesWithin } from './ahead.js';
import type { Standing } from './bench.js';
import { BENCH, stepName } from './words.js';

const MINUTE_MS = 60_000;
/** How much time the axis may show; the least that holds the next moments of every run is taken. */
const SPANS_MS = [5, 15, 30, 60].map((minutes) => minutes * MINUTE_MS);
const NEXT_MOMENTS = 3;
const ANEW_MS = 15_000;
/** Of the span, left of now. */
const PAST = 0.06;
const TICKS = 6;

/**
 * One axis of time for all runs, moving under a fixed line for now: when each wants hands, and when an eye. It draws what
 * the lists beside it say in words; what clashes is said in words below it.
 */
export function Ahead({ runs }: { runs: readonly Standing[] }) {
  const { format } = useSession();
  // Drawn anew when something happened and now and then; between, the whole axis is moved.
  const anchorMs = useBeat((now) => Math.floor(epochMs(now.at) / ANEW_MS) * ANEW_MS);
  const { moments, spanMs, sinceMs, found } = useMemo(() => {
    const now = beatNow();
    const since = epochMs(now.at) - anchorMs;
    const all = aheadOf(runs, now).map((moment) => ({ ...moment, fromMs: since + moment.inMs }));
    const span = spanOf(runs, all);
    return { moments: all, spanMs: span, sinceMs: since, found: clashesWithin(all, span, runs) };
  }, [runs, anchorMs]);
  if (moments.length === 0) return null;
  const tickMs = spanMs / TICKS;
  const firstTick = Math.ceil((anchorMs - spanMs * PAST) / tickMs) * tickMs;
  const left = (ms: number): string => `${(PAST + (ms - anchorMs) / spanMs) * 100}%`;
  const name = (moment: MomentOfRun): string => {
    const run = runs.find(({ id }) => id === moment.runId);
    return BENCH.ahead.moment(stepName(moment.step), moment.kind, run?.view.station ?? '');
  };
  return (
    <section className="ahead" aria-label={BENCH.ahead.title}>
      <div className="ahead-axis" aria-hidden="true">
        <div className="ahead-names">
          {runs.map(({ id, view }) => (
            <span key={id}>{view.station}</span>
          ))}
        </div>
        <div className="ahead-window">
          <Moving anchorMs={anchorMs} spanMs={spanMs}>
            {Array.from({ length: TICKS + 3 }, (_, n) => firstTick + n * tickMs).map((ms) => (
              <span key={ms} className="ahead-tick" style={{ left: left(ms) }}>
                {format.clock(instantOf(ms))}
              </span>
            ))}
            {clashSpans(found).map(({ fromMs, toMs }) => (
              <span
                key={fromMs}
                className="ahead-clash"
                style={{
                  left: left(anchorMs + sinceMs + fromMs),
                  right: `calc(100% - ${left(anchorMs + sinceMs + toMs)})`,
                }}
              />
            ))}
            <div className="ahead-rows">
              {runs.map(({ id }) => (
                <div key={id} className="ahead-row">
                  {moments
                    .filter(({ runId, inMs }) => runId === id && inMs <= spanMs * 1.1)
                    .map((moment) => (
                      <span
                        key={`${moment.step.id} ${moment.kind}`}
                        className={moment.byEye ? 'ahead-eye' : `ahead-${moment.kind}`}
                        style={{ left: left(anchorMs + moment.fromMs), width: `${(moment.handsMs / spanMs) * 100}%` }}
                      />
                    ))}
                </div>
              ))}
            </div>
          </Moving>
          <span className="ahead-now" style={{ left: `${PAST * 100}%` }} />
        </div>
      </div>
      <p className="small ahead-key">{BENCH.ahead.key}</p>
      {found.length > 0 && (
        <ul className="ahead-clashes">
          {found.slice(0, 2).map(({ first, second }) => (
            <li key={`${first.runId} ${second.runId} ${first.inMs}`}>
              {BENCH.ahead.clash(
                format.clock(instantOf(anchorMs + first.fromMs)),
                name(first),
                name(second),
                first.byEye && second.byEye,
              )}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** Moves what is in it from right to left as time passes, in steps that an eye cannot tell from none. */
function Moving({ anchorMs, spanMs, children }: { anchorMs: number; spanMs: number; children: ReactNode }) {
  const stepMs = spanMs / 1_000;
  const moved = useBeat((now) => Math.round((epochMs(now.at) - anchorMs) / stepMs));
  return (
    <div className="ahead-moving" style={{ transform: `translateX(${-moved / 10}%)` }}>
      {children}
    </div>
  );
}

function spanOf(runs: readonly Standing[], moments: readonly MomentOfRun[]): number {
  const furthest = Math.max(
    0,
    ...runs.map(
      ({ id }) =>
        moments
          .filter(({ runId }) => runId === id)
          .slice(0, NEXT_MOMENTS)
          .at(-1)?.inMs ?? 0,
    ),
  );
  return SPANS_MS.find((span) => furthest <= span * 0.9) ?? SPANS_MS.at(-1) ?? MINUTE_MS;
}
