import type { Step } from '../protocol/protocol.js';
import { targetMs } from '../protocol/windows.js';

/**
 * Which dip is due once a step has run for so many ms, counted from 1: dips are counted as time, and each takes its share of
 * the target. Past the last it stays at the last; null for a step that is not counted by dips. For keeping a steady hand, not
 * for any verdict: what was done is told by start and end. Of ten dips in 10 s, `dipAt(step, 3200)` is 4.
 */
export function dipAt(step: Step, passedMs: number): number | null {
  const { dips } = step;
  if (dips === undefined || dips < 1 || passedMs < 0) return null;
  return Math.min(Math.floor((passedMs * dips) / targetMs(step)) + 1, dips);
}
