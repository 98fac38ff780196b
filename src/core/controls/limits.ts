import { Refusal } from '../refusal.js';
import { chiSquareQuantile } from '../statistics/chi-square.js';
import { mean, summarise, type Summary } from '../statistics/sample.js';
import { studentTQuantile } from '../statistics/student-t.js';

/** What a control level is judged against: its mean and standard deviation, in the unit of the results. */
export interface Limits {
  mean: number;
  sd: number;
}

/** A result and the day, in the laboratory's zone, on which it was measured. */
export interface DatedResult {
  x: number;
  day: string;
}

/** Results and days from which first limits stand: 20 on 20 days, since fewer days leave out what changes between days. */
export const FIRST_RESULTS = 20;
/** Results in parallel from which a new control lot gets its own mean. */
export const PARALLEL_RESULTS = 10;

/**
 * How many standard deviations a result lies from the mean. Refuses limits without spread and what is not finite.
 * `zScore(105.1, {mean: 100, sd: 2.5})` is 2.04.
 */
export function zScore(x: number, limits: Limits): number {
  const { mean: centre, sd } = checkedLimits(limits);
  return (finite(x) - centre) / sd;
}

/**
 * Limits from the laboratory's first results, provisional until there are 20 on 20 days (approach of CLSI C24, in own
 * words). Refuses fewer than two results and results without spread.
 * `firstLimits([{x: 1, day: '2026-11-02'}, {x: 3, day: '2026-11-03'}])` has mean 2, sd 1.4142135623730951, provisional.
 */
export function firstLimits(results: readonly DatedResult[]): Summary & { provisional: boolean } {
  const summary = summarise(results.map(({ x }) => finite(x)));
  checkedLimits(summary);
  const days = new Set(results.map(({ day }) => day)).size;
  return { ...summary, provisional: results.length < FIRST_RESULTS || days < FIRST_RESULTS };
}

/**
 * Cumulative limits from the summaries of blocks, such as closed months, exactly as from their single results: N = sum n,
 * M = sum n m / N, S = sqrt((sum (n-1) s^2 + n (m-M)^2) / (N-1)). Refuses blocks with fewer than two results in all.
 * `cumulative([{n: 2, mean: 1, sd: 0}, {n: 2, mean: 3, sd: 0}])` is `{n: 4, mean: 2, sd: 1.1547005383792515}`.
 */
export function cumulative(blocks: readonly Summary[]): Summary {
  const n = blocks.reduce((sum, block) => sum + block.n, 0);
  if (n < 2) throw new Refusal('invalid', 'too-few', `cumulative limits need at least 2 results; there are ${n}`);
  const centre = blocks.reduce((sum, block) => sum + block.n * block.mean, 0) / n;
  const squares = blocks.reduce(
    (sum, block) => sum + (block.n - 1) * block.sd ** 2 + block.n * (block.mean - centre) ** 2,
    0,
  );
  return { n, mean: centre, sd: Math.sqrt(squares / (n - 1)) };
}

/**
 * The standard deviation within lots, sqrt(sum (n-1) s^2 / sum (n-1)), and its degrees of freedom, for lots whose means
 * differ. Refuses lots with no degree of freedom in all. `pooledSd([{n: 3, mean: 1, sd: 1}, {n: 3, mean: 9, sd: 3}])` is
 * `{sd: 2.23606797749979, df: 4}`.
 */
export function pooledSd(lots: readonly Summary[]): { sd: number; df: number } {
  const df = lots.reduce((sum, { n }) => sum + n - 1, 0);
  if (df < 1) throw new Refusal('invalid', 'too-few', 'a pooled SD needs a lot with at least 2 results');
  return { sd: Math.sqrt(lots.reduce((sum, { n, sd }) => sum + (n - 1) * sd ** 2, 0) / df), df };
}

/**
 * Limits for a new control lot: the mean of its results in parallel with the old lot, and the old lot's long-term
 * coefficient of variation, until the new lot has cumulative results of its own (common practice after CLSI C24);
 * provisional below ten results. Refuses no result and an old lot whose mean is 0.
 * `newLotLimits({mean: 100, sd: 2}, [49, 51])` is `{n: 2, mean: 50, sd: 1, provisional: true}`.
 */
export function newLotLimits(old: Limits, results: readonly number[]): Summary & { provisional: boolean } {
  if (results.length === 0) throw new Refusal('invalid', 'too-few', 'the new lot has no results yet; measure it');
  const { mean: oldMean, sd } = checkedLimits(old);
  if (oldMean === 0) {
    throw new Refusal(
      'invalid',
      'no-spread',
      'the old mean is 0, so that it has no coefficient of variation; set an SD',
    );
  }
  const newMean = mean(results.map(finite));
  return {
    n: results.length,
    mean: newMean,
    sd: Math.abs((sd / oldMean) * newMean),
    provisional: results.length < PARALLEL_RESULTS,
  };
}

/**
 * Where the true standard deviation lies with the given confidence, s sqrt((n-1)/chi-square), for results from a normal
 * distribution. `sdInterval({n: 20, mean: 0, sd: 1}, 0.95)` is [0.7604903943298737, 1.4605716361192204].
 */
export function sdInterval({ n, sd }: Summary, confidence: number): [number, number] {
  const at = (p: number) => sd * Math.sqrt((n - 1) / chiSquareQuantile(p, n - 1));
  return [at((1 + confidence) / 2), at((1 - confidence) / 2)];
}

/**
 * Where the true mean lies with the given confidence, mean -/+ t s/sqrt(n). `meanInterval({n: 4, mean: 10, sd: 2}, 0.95)` is
 * [6.817553694715292, 13.182446305284708].
 */
export function meanInterval({ n, mean: centre, sd }: Summary, confidence: number): [number, number] {
  const half = (studentTQuantile((1 + confidence) / 2, n - 1) * sd) / Math.sqrt(n);
  return [centre - half, centre + half];
}

export interface GrubbsResult {
  /** Index of the result farthest from the mean. */
  index: number;
  g: number;
  critical: number;
  outlier: boolean;
}

/**
 * Whether the result farthest from the mean is too far for a normal sample: G = max |x - mean| / s against its two-sided
 * critical value (Grubbs, Technometrics 1969;11:1-21; NIST/SEMATECH e-Handbook 1.3.5.17.1). It points at a result to look
 * into; only an identified cause excludes one. Refuses fewer than three results and results without spread.
 * `grubbs([1, 2, 3, 50], 0.05).outlier` is true.
 */
export function grubbs(values: readonly number[], alpha: number): GrubbsResult {
  const n = values.length;
  if (n < 3) throw new Refusal('invalid', 'too-few', `the Grubbs test needs at least 3 results; there are ${n}`);
  const { mean: centre, sd } = summarise(values.map(finite));
  checkedLimits({ mean: centre, sd });
  const distances = values.map((x) => Math.abs(x - centre));
  const index = distances.indexOf(Math.max(...distances));
  const g = (distances[index] ?? 0) / sd;
  const t2 = studentTQuantile(alpha / (2 * n), n - 2) ** 2;
  const critical = ((n - 1) / Math.sqrt(n)) * Math.sqrt(t2 / (n - 2 + t2));
  return { index, g, critical, outlier: g > critical };
}

/** Refuses limits that nothing can be judged against. */
export function checkedLimits(limits: Limits): Limits {
  finite(limits.mean);
  if (!(limits.sd > 0 && Number.isFinite(limits.sd))) {
    throw new Refusal(
      'invalid',
      'no-spread',
      `the SD is ${limits.sd}; limits need results that differ, with an SD above 0`,
    );
  }
  return limits;
}

function finite(value: number): number {
  if (!Number.isFinite(value)) throw new Refusal('invalid', 'bad-result', `a result is ${value}; give a finite number`);
  return value;
}
