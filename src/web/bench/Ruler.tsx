import type { NextAction } from '../../core/run/next.js';
import { passedMs } from '../../core/run/next.js';
import { useBeat } from '../parts/ticker.js';

const FINE = 1000;
const COARSE = 160;

/** A scale on which a needle runs through an action's window; everything it shows is said in words beside it. */
export function Ruler({ action, fine = false }: { action: NextAction; fine?: boolean }) {
  const { since, minMs, targetMs, maxMs } = action;
  const end = maxMs ?? (targetMs ?? 0) * 1.25;
  const scale = end * 1.15;
  const parts = fine ? FINE : COARSE;
  const place = useBeat((now) => {
    if (since === null || scale === 0) return 0;
    // In whole parts of the scale, so that forty of them do not paint for nothing.
    return Math.min(Math.max(Math.round((passedMs(since, now) / scale) * parts), 0), parts) / parts;
  });
  if (since === null || scale === 0) return null;
  const at = (ms: number): string => `${(ms / scale) * 100}%`;
  return (
    <div className={fine ? 'ruler ruler-fine' : 'ruler'} aria-hidden="true">
      {maxMs !== null && (
        <span className="ruler-window" style={{ left: at(minMs ?? 0), right: `calc(100% - ${at(maxMs)})` }} />
      )}
      {targetMs !== null && targetMs > 0 && <span className="ruler-target" style={{ left: at(targetMs) }} />}
      <span className="ruler-run" style={{ transform: `scaleX(${place})` }} />
      <span className="ruler-needle" style={{ transform: `translateX(${place * 100}cqw)` }} />
    </div>
  );
}
