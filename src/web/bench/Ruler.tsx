import type { NextAction } from '../../core/run/next.js';
import { passedMs } from '../../core/run/next.js';
import { useBeat } from '../parts/ticker.js';

/** A scale on which a needle runs through an action's window; everything it shows is said in words beside it. */
export function Ruler({ action }: { action: NextAction }) {
  const { since, minMs, targetMs, maxMs } = action;
  const end = maxMs ?? (targetMs ?? 0) * 1.25;
  const scale = end * 1.15;
  const place = useBeat((now) => {
    if (since === null || scale === 0) return 0;
    // Whole thousandths, so that a long step does not paint for nothing.
    return Math.min(Math.max(Math.round((passedMs(since, now) / scale) * 1000), 0), 1000);
  });
  if (since === null || scale === 0) return null;
  const at = (ms: number): string => `${(ms / scale) * 100}%`;
  return (
    <div className="ruler" aria-hidden="true">
      {maxMs !== null && (
        <span className="ruler-window" style={{ left: at(minMs ?? 0), right: `calc(100% - ${at(maxMs)})` }} />
      )}
      {targetMs !== null && targetMs > 0 && <span className="ruler-target" style={{ left: at(targetMs) }} />}
      <span className="ruler-run" style={{ transform: `scaleX(${place / 1000})` }} />
      <span className="ruler-needle" style={{ transform: `translateX(${place / 10}cqw)` }} />
    </div>
  );
}
