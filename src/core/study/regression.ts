import { Refusal } from '../refusal.js';
import { mean, summarise } from '../statistics/sample.js';
import { studentTQuantile } from '../statistics/student-t.js';
import { checkedPairs, zipped, type Pairs } from './pairs.js';
import type { Interval } from './proportion.js';

export interface Line {
  slope: number;
  intercept: number;
}

/** Sums of squares and products around the means. */
interface Moments {
  meanX: number;
  meanY: number;
  sxx: number;
  syy: number;
  sxy: number;
}

/**
 * The least squares line of y on x and Pearson's r, null where x or y does not vary; it takes x to be without error, which
 * no lot is, so it stands only beside the others. `leastSquares({x: [1, 2, 3], y: [2, 4, 6]})` is `{slope: 2, intercept: 0, r: 1}`.
 */
export function leastSquares(pairs: Pairs): (Line & { r: number }) | null {
  const { meanX, meanY, sxx, syy, sxy } = moments(checkedPairs(pairs, 2));
  if (sxx === 0 || syy === 0) return null;
  const slope = sxy / sxx;
  return { slope, intercept: meanY - slope * meanX, r: sxy / Math.sqrt(sxx * syy) };
}

export interface Deming extends Line {
  /** Null when leaving out one pair leaves no line. */
  slopeCi: Interval | null;
  interceptCi: Interval | null;
}

/**
 * Deming's line for errors in both x and y, from at least three pairs, null where x and y do not vary together at all.
 * `varianceRatio` is the error variance of y over that of x. Intervals by the jackknife with t of n - 2 degrees of freedom
 * (Cornbleet and Gochman, Clin Chem 1979;25:432-438; Linnet, Stat Med 1990;9:1463-1473), at 95 % unless said otherwise.
 * Refuses a ratio that is not above 0. `deming({x: [1, 2, 3], y: [2, 4, 6]}, 1)?.slope` is 2.
 */
export function deming(pairs: Pairs, varianceRatio: number, confidence = 0.95): Deming | null {
  if (!(varianceRatio > 0 && Number.isFinite(varianceRatio))) {
    throw new Refusal('invalid', 'bad-setting', `the ratio of error variances is ${varianceRatio}; give one above 0`);
  }
  const { x, y } = checkedPairs(pairs, 3);
  const line = demingLine({ x, y }, varianceRatio);
  if (!line) return null;
  const without = x.map((_, i) => demingLine({ x: x.toSpliced(i, 1), y: y.toSpliced(i, 1) }, varianceRatio));
  const lines = without.filter((one) => one !== null);
  const interval = (of: keyof Line): Interval | null => {
    if (lines.length < x.length) return null;
    const n = x.length;
    const pseudo = lines.map((one) => n * line[of] - (n - 1) * one[of]);
    const half = (studentTQuantile((1 + confidence) / 2, n - 2) * summarise(pseudo).sd) / Math.sqrt(n);
    return [line[of] - half, line[of] + half];
  };
  return { ...line, slopeCi: interval('slope'), interceptCi: interval('intercept') };
}

function demingLine(pairs: Pairs, ratio: number): Line | null {
  const { meanX, meanY, sxx, syy, sxy } = moments(pairs);
  if (sxy === 0) return null;
  const gap = syy - ratio * sxx;
  const root = Math.hypot(gap, 2 * Math.sqrt(ratio) * sxy);
  // Two forms of one root; the other one subtracts near equals.
  const slope = gap > 0 ? (gap + root) / (2 * sxy) : (2 * ratio * sxy) / (root - gap);
  return { slope, intercept: meanY - slope * meanX };
}

function moments(pairs: Pairs): Moments {
  const [meanX, meanY] = [mean(pairs.x), mean(pairs.y)];
  const sums: Moments = { meanX, meanY, sxx: 0, syy: 0, sxy: 0 };
  for (const [x, y] of zipped(pairs)) {
    sums.sxx += (x - meanX) ** 2;
    sums.syy += (y - meanY) ** 2;
    sums.sxy += (x - meanX) * (y - meanY);
  }
  return sums;
}
