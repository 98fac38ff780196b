import { median } from '../statistics/sample.js';
import { checkedPairs, zipped, type Pairs } from './pairs.js';
import { zOf } from './proportion.js';
import type { Line } from './regression.js';

export interface PassingBablok extends Line {
  /** An end is null where so few pairs leave it open. */
  slopeCi: [low: number | null, high: number | null];
  interceptCi: [low: number | null, high: number | null];
}

/** Results are decimals, and binary rounding must not take a slope of -1 for another one. */
const SAME_SLOPE = 1e-12;

/**
 * The line of Passing and Bablok (J Clin Chem Clin Biochem 1983;21:709-720) from at least two pairs: the shifted median of the
 * slopes between all pairs, which an outlier hardly moves, with its interval at 95 % unless said otherwise; the intercept is
 * median(y - slope x). Null where y does not rise with x (by Kendall's count), which the method takes for granted; the authors
 * advise at least 30 pairs (from memory).
 * `passingBablok({x: [1, 2, 3, 4, 10, 12, 18], y: [9, 15, 19, 20, 45, 55, 78]})` has slope 4 and intercept 6 (data of Sen 1968).
 */
export function passingBablok(pairs: Pairs, confidence = 0.95): PassingBablok | null {
  const points = zipped(checkedPairs(pairs, 2));
  const n = points.length;
  const all = slopesOf(points);
  const rising = all.reduce((count, slope) => count + (Number.isFinite(slope) ? Math.sign(slope) : 0), 0);
  if (rising <= 0) return null;
  const slopes = all.filter((slope) => Math.abs(slope + 1) > SAME_SLOPE).sort();
  const shift = slopes.filter((slope) => slope < -1).length;
  // Counted from 1, as in the paper.
  const ordered = (rank: number) => finiteOrNull(slopes[rank + shift - 1]);
  const middle = slopes.length / 2;
  const [lower, upper] = [ordered(Math.ceil(middle)), ordered(Math.floor(middle) + 1)];
  if (lower === null || upper === null) return null;
  const slope = (lower + upper) / 2;
  const c = zOf(confidence) * Math.sqrt((n * (n - 1) * (2 * n + 5)) / 18);
  const first = Math.round((slopes.length - c) / 2);
  const slopeCi: PassingBablok['slopeCi'] = [ordered(first), ordered(slopes.length - first + 1)];
  const intercept = (of: number) => median(points.map(([x, y]) => y - of * x));
  const [low, high] = slopeCi;
  return {
    slope,
    intercept: intercept(slope),
    slopeCi,
    interceptCi: [high === null ? null : intercept(high), low === null ? null : intercept(low)],
  };
}

/** The slopes between different points, infinite between points of the same x. */
function slopesOf(points: readonly [number, number][]): Float64Array {
  const slopes = new Float64Array((points.length * (points.length - 1)) / 2);
  let count = 0;
  for (const [i, [x1, y1]] of points.entries()) {
    for (const [x2, y2] of points.slice(i + 1)) {
      if (x1 === x2 && y1 === y2) continue;
      slopes[count++] = x1 === x2 ? (y2 - y1) * Number.POSITIVE_INFINITY : (y2 - y1) / (x2 - x1);
    }
  }
  return slopes.subarray(0, count);
}

function finiteOrNull(value: number | undefined): number | null {
  return value !== undefined && Number.isFinite(value) ? value : null;
}
