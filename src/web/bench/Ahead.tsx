import { type ReactNode, useMemo, useState } from 'react';
import { clashSpans, type MomentOfRun } from '../../core/run/ahead.js';
import { epochMs, instantOf } from '../../core/time/instant.js';
import { useSession } from '../app/session.js';
import { beatNow, useBeat } from '../parts/ticker.js';
import './ahead.css';
import { aheadOf, clashesToSay, clashesWithin, clashId } from './ahead.js';
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
/** Of how many moments of a run the window is drawn, and how many of all runs are said in words. */
const WINDOWS = 2;
const IN_WORDS = 30;

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
              <span
                key={ms}
                className={(ms / tickMs) % 2 === 0 ? 'ahead-tick' : 'ahead-tick ahead-tick-between'}
                style={{ left: left(ms) }}
              >
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
                  {windowsOf(moments, id, spanMs).map(({ fromMs, toMs }) => (
                    <span
                      key={`${fromMs} ${toMs}`}
                      className="ahead-span"
                      style={{
                        left: left(anchorMs + sinceMs + fromMs),
                        right: `calc(100% - ${left(anchorMs + sinceMs + toMs)})`,
                      }}
                    />
                  ))}
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
      <InWords>
        {moments
          .toSorted((a, b) => a.inMs - b.inMs)
          .slice(0, IN_WORDS)
          .map((moment) => (
            <li key={`${moment.runId} ${moment.step.id} ${moment.kind}`}>
              {BENCH.ahead.line(
                format.clock(instantOf(anchorMs + moment.fromMs)),
                name(moment),
                moment.byEye,
                [moment.notBeforeMs, moment.notAfterMs].map((ms) =>
                  ms === null ? null : format.clock(instantOf(anchorMs + sinceMs + Math.max(ms, 0))),
                ),
              )}
            </li>
          ))}
      </InWords>
      {found.length > 0 && (
        <ul className="ahead-clashes">
          {clashesToSay(found)
            .slice(0, 2)
            .map(({ first, second }) => (
              <li key={clashId({ first, second })}>
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

/** The axis said in words, opened by who cannot see it or wants the times; it is not there while it is closed. */
function InWords({ children }: { children: ReactNode }) {
  const [open, setOpen] = useState(false);
  return (
    <details className="ahead-words" open={open} onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
      <summary>{BENCH.ahead.inWords}</summary>
      {open && <ol>{children}</ol>}
    </details>
  );
}

/** Between when the next moments of a run may be, as far as the axis shows them. */
function windowsOf(moments: readonly MomentOfRun[], run: string, spanMs: number): { fromMs: number; toMs: number }[] {
  return moments
    .filter(({ runId }) => runId === run)
    .slice(0, WINDOWS)
    .flatMap(({ notBeforeMs, notAfterMs }) =>
      notAfterMs === null || notAfterMs <= 0
        ? []
        : [{ fromMs: Math.max(notBeforeMs ?? 0, -spanMs * PAST), toMs: Math.min(notAfterMs, spanMs * 1.1) }],
    )
    .filter(({ fromMs, toMs }) => fromMs < toMs);
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
