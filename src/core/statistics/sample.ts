import { Refusal } from '../refusal.js';

/** Count, mean and standard deviation (n - 1 in the denominator) of a series of results. */
export interface Summary {
  n: number;
  mean: number;
  sd: number;
}

/** Mean of at least one number. `mean([1, 2, 6])` is 3. */
export function mean(values: readonly number[]): number {
  const first = values.reduce((sum, x) => sum + x, 0) / values.length;
  // A second round takes back what the first lost by rounding.
  return first + values.reduce((sum, x) => sum + (x - first), 0) / values.length;
}

/**
 * Count, mean and standard deviation of at least two numbers, sqrt(sum (x - mean)^2 / (n - 1)); refuses fewer.
 * `summarise([1, 2, 3])` is `{n: 3, mean: 2, sd: 1}`.
 */
export function summarise(values: readonly number[]): Summary {
  const n = values.length;
  if (n < 2) {
    throw new Refusal('invalid', 'too-few', `a standard deviation needs at least 2 results; there are ${n}`);
  }
  const centre = mean(values);
  return { n, mean: centre, sd: Math.sqrt(values.reduce((sum, x) => sum + (x - centre) ** 2, 0) / (n - 1)) };
}

/** Median of at least one number; `median([4, 1, 3, 2])` is 2.5. */
export function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length / 2;
  const upper = sorted[Math.floor(half)] ?? Number.NaN;
  return Number.isInteger(half) ? ((sorted[half - 1] ?? Number.NaN) + upper) / 2 : upper;
}

/**
 * The smallest of at least one number that so large a part of them does not exceed (inverse of the empirical distribution,
 * definition 1 of Hyndman and Fan, Am Stat 1996;50:361-365, from memory). `quantile([1, 2, 3, 4], 0.9)` is 4.
 */
export function quantile(values: readonly number[], part: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.max(Math.ceil(part * sorted.length) - 1, 0)] ?? Number.NaN;
}
