import { Refusal } from '../refusal.js';
import { betaQuantile } from '../statistics/beta.js';
import { normalQuantile } from '../statistics/normal.js';

export type Interval = [low: number, high: number];

/** A share with its intervals, or nulls where there was nothing to take a share of. */
export interface Proportion {
  estimate: number | null;
  wilson: Interval | null;
  clopperPearson: Interval | null;
}

/**
 * The share of `hits` among `n` and where the true one lies with the given confidence: undefined, not 0 or 1, when n is 0.
 * Refuses counts that are not whole or out of order. `proportion(20, 20, 0.95)` is `{estimate: 1, wilson:
 * [0.8388748419471806, 1], clopperPearson: [0.8315665290169146, 1]}`.
 */
export function proportion(hits: number, n: number, confidence: number): Proportion {
  if (!Number.isSafeInteger(hits) || !Number.isSafeInteger(n) || hits < 0 || hits > n) {
    throw new Refusal(
      'invalid',
      'bad-count',
      `${hits} of ${n} is no share; give whole counts, the first within the second`,
    );
  }
  if (n === 0) return { estimate: null, wilson: null, clopperPearson: null };
  return {
    estimate: hits / n,
    wilson: wilson(hits, n, confidence),
    clopperPearson: clopperPearson(hits, n, confidence),
  };
}

/**
 * Score interval for `hits` among `n` > 0 (Wilson, J Am Stat Assoc 1927;22:209-212), always within 0 and 1, exactly 0 at no
 * hit and 1 at all. `wilson(81, 263, 0.95)` is 0.2553 to 0.3662 (Newcombe, Stat Med 1998;17:857-872).
 */
export function wilson(hits: number, n: number, confidence: number): Interval {
  const z2 = zOf(confidence) ** 2;
  const p = hits / n;
  const centre = (p + z2 / (2 * n)) / (1 + z2 / n);
  const half = Math.sqrt((z2 * p * (1 - p)) / n + (z2 / (2 * n)) ** 2) / (1 + z2 / n);
  return [hits === 0 ? 0 : Math.max(0, centre - half), hits === n ? 1 : Math.min(1, centre + half)];
}

/**
 * Exact interval for `hits` among `n` > 0 by the quantiles of the beta distribution (Clopper and Pearson, Biometrika
 * 1934;26:404-413). `clopperPearson(81, 263, 0.95)` is 0.2527 to 0.3676 (Newcombe 1998).
 */
export function clopperPearson(hits: number, n: number, confidence: number): Interval {
  const half = (1 - confidenceChecked(confidence)) / 2;
  return [
    hits === 0 ? 0 : betaQuantile(half, hits, n - hits + 1),
    hits === n ? 1 : betaQuantile(1 - half, hits + 1, n - hits),
  ];
}

/** The z that a standard normal variable stays within with the given confidence. `zOf(0.95)` is 1.959963984540054. */
export function zOf(confidence: number): number {
  return normalQuantile((1 + confidenceChecked(confidence)) / 2);
}

function confidenceChecked(confidence: number): number {
  if (confidence > 0 && confidence < 1) return confidence;
  throw new Refusal(
    'invalid',
    'bad-setting',
    `the confidence is ${confidence}; give one between 0 and 1, such as 0.95`,
  );
}
