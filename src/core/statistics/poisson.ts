import { betaTails } from './beta.js';
import { gammaTerm, upperGamma } from './gamma.js';

/** Probability of exactly k events when `mean` are expected. `poissonProbability(0, 2)` is e^-2. */
export function poissonProbability(k: number, mean: number): number {
  if (!(mean >= 0)) throw new RangeError(`${mean} is no expected count; give one of at least 0`);
  if (k < 0 || !Number.isInteger(k)) return 0;
  if (k === 0) return Math.exp(-mean);
  return mean === 0 ? 0 : gammaTerm(k, mean);
}

/**
 * Probability of at most k events when `mean` are expected, through the incomplete gamma function (Abramowitz and
 * Stegun 26.4.21). `poissonCdf(4, 3)` is 0.8152632445237722.
 */
export function poissonCdf(k: number, mean: number): number {
  if (k < 0) return 0;
  return mean === 0 ? 1 : upperGamma(Math.floor(k) + 1, mean);
}

/**
 * The smallest count k that at most k events reach with probability p, when `mean` are expected; throws RangeError
 * unless 0 < p < 1. `poissonQuantile(0.8, 3)` is 4.
 */
export function poissonQuantile(p: number, mean: number): number {
  return smallestCount(p, (k) => poissonCdf(k, mean));
}

/**
 * Probability of at most k under the negative binomial distribution with the given mean and variance (r = mean^2 /
 * (variance - mean), p = mean / variance), through the incomplete beta function (Abramowitz and Stegun 26.5.26); throws
 * RangeError unless the variance is above a mean above 0. `negativeBinomialCdf(12, {mean: 5, variance: 12})` is
 * 0.965096003265045.
 */
export function negativeBinomialCdf(k: number, { mean, variance }: { mean: number; variance: number }): number {
  const excess = variance - mean;
  if (!(mean > 0 && excess > 0)) {
    throw new RangeError(
      `a variance of ${variance} is not above a mean of ${mean} above 0; take the Poisson distribution`,
    );
  }
  if (k < 0) return 0;
  const r = (mean * mean) / excess;
  // A mean too small to be squared leaves everything at 0.
  return r === 0 ? 1 : betaTails(mean / variance, excess / variance, r, Math.floor(k) + 1).lower;
}

/** The smallest count k that at most k reach with probability p under the negative binomial distribution. */
export function negativeBinomialQuantile(p: number, moments: { mean: number; variance: number }): number {
  return smallestCount(p, (k) => negativeBinomialCdf(k, moments));
}

function smallestCount(p: number, cdf: (k: number) => number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`${p} is no probability between 0 and 1`);
  let high = 1;
  while (cdf(high) < p) {
    high *= 2;
    if (high > Number.MAX_SAFE_INTEGER) throw new RangeError(`${p} is too close to 1; give a smaller probability`);
  }
  let low = -1;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (cdf(middle) < p) low = middle;
    else high = middle;
  }
  return high;
}
