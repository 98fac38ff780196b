import { Refusal } from '../refusal.js';
import { mean } from '../statistics/sample.js';
import { checkedLimits, type Limits } from './limits.js';
import { TOLERANCE } from './streaks.js';

/** Mean range of two draws from a standard normal distribution, d2(2) = 2/sqrt(pi). */
const D2 = 2 / Math.sqrt(Math.PI);
/** Upper limit of a moving range over its mean, D4(2) = 1 + 3 d3/d2. */
const D4 = 1 + 3 * Math.sqrt(Math.PI / 2 - 1);

/** A chart of single results: centre, limits, and the 1-based positions of the results beyond them. */
export interface IndividualsChart {
  mean: number;
  /** Mean of the ranges of neighbouring results. */
  meanMovingRange: number;
  /** Standard deviation as the moving ranges show it. */
  sigma: number;
  lcl: number;
  ucl: number;
  movingRangeUcl: number;
  beyond: number[];
}

/**
 * Shewhart's chart of individual results, with limits at three sigma from the first `calibration` results, sigma being
 * their mean moving range over d2 (NIST/SEMATECH e-Handbook 6.3.2.2; Montgomery, Introduction to Statistical Quality
 * Control). Refuses a calibration of fewer than two results, of more than there are, or without spread.
 * `individualsChart([1, 2, 1, 2], 4)` has mean 1.5 and sigma 0.886226925452758.
 */
export function individualsChart(x: readonly number[], calibration: number): IndividualsChart {
  if (!Number.isInteger(calibration) || calibration < 2 || calibration > x.length) {
    throw new Refusal(
      'invalid',
      'too-few',
      `the calibration takes ${calibration} of ${x.length} results; take a whole number from 2 to all of them`,
    );
  }
  const first = x.slice(0, calibration);
  const centre = mean(first);
  const meanMovingRange = mean(first.slice(1).map((value, i) => Math.abs(value - (first[i] ?? value))));
  const sigma = meanMovingRange / D2;
  checkedLimits({ mean: centre, sd: sigma });
  return {
    mean: centre,
    meanMovingRange,
    sigma,
    lcl: centre - 3 * sigma,
    ucl: centre + 3 * sigma,
    movingRangeUcl: D4 * meanMovingRange,
    beyond: positions(x, (value) => Math.abs(value - centre) / sigma > 3 + TOLERANCE),
  };
}

export interface EwmaChart {
  z: number[];
  lcl: number[];
  ucl: number[];
  beyond: number[];
}

/** How much the latest result weighs (0 < lambda <= 1) and how many sigma off the limits stand (L). */
export interface EwmaSetting {
  lambda: number;
  L: number;
}

/**
 * The exponentially weighted moving average that finds small lasting shifts: z_i = lambda x_i + (1-lambda) z_(i-1) from
 * the target on, limits target -/+ L sigma sqrt(lambda/(2-lambda) (1-(1-lambda)^(2i))) (Lucas and Saccucci, Technometrics
 * 1990;32:1-12; NIST/SEMATECH e-Handbook 6.3.2.4). lambda 0.2 with L 2.859 alarms once in 370 results by chance.
 * `ewma([52], {mean: 50, sd: 2}, {lambda: 0.3, L: 3}).z` is [50.6].
 */
export function ewma(x: readonly number[], target: Limits, { lambda, L }: EwmaSetting): EwmaChart {
  const { mean: centre, sd } = checkedLimits(target);
  if (!(lambda > 0 && lambda <= 1) || !(L > 0)) {
    throw new Refusal('invalid', 'bad-setting', `lambda is ${lambda} and L ${L}; give 0 < lambda <= 1 and L above 0`);
  }
  let z = centre;
  const averages = x.map((value) => (z = lambda * value + (1 - lambda) * z));
  const half = x.map((_, i) => L * sd * Math.sqrt((lambda / (2 - lambda)) * (1 - (1 - lambda) ** (2 * (i + 1)))));
  return {
    z: averages,
    lcl: half.map((h) => centre - h),
    ucl: half.map((h) => centre + h),
    beyond: positions(averages, (value, i) => Math.abs(value - centre) > (half[i] ?? 0) + TOLERANCE * sd),
  };
}

export interface CusumChart {
  above: number[];
  below: number[];
  beyond: number[];
}

/** In sigma: the slack that each result is allowed (k), where the sums alarm (h), and where they start. */
export interface CusumSetting {
  k: number;
  h: number;
  /** 0 unless the fast initial response of h/2 is wanted. */
  start?: number;
}

/**
 * The two one-sided cumulative sums of standardised results y that find small lasting shifts: C+ = max(0, C+ + y - k), C- =
 * max(0, C- - y - k), alarm above h (Hawkins, J Qual Technol 1993;25:248-261; Montgomery). k 0.5 with h 4 alarms once in
 * 168 results by chance, h 5 once in 465. `cusum([3, 3], {mean: 0, sd: 1}, {k: 0.5, h: 4})` is `{above: [2.5, 5], below: [0,
 * 0], beyond: [2]}`.
 */
export function cusum(x: readonly number[], target: Limits, { k, h, start = 0 }: CusumSetting): CusumChart {
  const { mean: centre, sd } = checkedLimits(target);
  if (!(k >= 0 && h > 0 && start >= 0)) {
    throw new Refusal(
      'invalid',
      'bad-setting',
      `k is ${k}, h ${h}, start ${start}; give h above 0, the others at least 0`,
    );
  }
  const sums = (sign: 1 | -1) => {
    let sum = start;
    return x.map((value) => (sum = Math.max(0, sum + (sign * (value - centre)) / sd - k)));
  };
  const above = sums(1);
  const below = sums(-1);
  const beyond = positions(above, (sum, i) => Math.max(sum, below[i] ?? 0) > h + TOLERANCE);
  return { above, below, beyond };
}

function positions(values: readonly number[], matches: (value: number, index: number) => boolean): number[] {
  return values.flatMap((value, index) => (matches(value, index) ? [index + 1] : []));
}
