import { Refusal } from '../refusal.js';
import { noncentralTQuantile } from '../statistics/noncentral-t.js';
import { summarise, type Summary } from '../statistics/sample.js';
import { studentTCdf, studentTQuantile } from '../statistics/student-t.js';
import { checkedPairs, zipped, type Pairs } from './pairs.js';
import { zOf, type Interval } from './proportion.js';

/** Paired differences x - y: old minus new, so that a stronger new lot has a negative bias. */
export interface Differences {
  n: number;
  bias: number;
  sd: number;
  biasCi: Interval;
  /** Where 95 % of the differences lie if they are normal. */
  limits: Interval;
}

/** The share of differences that the limits of agreement hold. */
const HELD = 0.95;

/**
 * Bias, its interval and the limits of agreement of at least two pairs, bias -/+ 1.96 s (Bland and Altman, Lancet
 * 1986;i:307-310; Stat Methods Med Res 1999;8:135-160), at 95 % unless said otherwise.
 * `differences({x: [1, 2, 3], y: [0, 2, 4]})` has bias 0, sd 1 and limits of -/+ 1.959963984540054.
 */
export function differences(pairs: Pairs, confidence = 0.95): Differences {
  const { n, mean: bias, sd } = differenceSummary(pairs);
  const half = (studentTQuantile((1 + confidence) / 2, n - 1) * sd) / Math.sqrt(n);
  const reach = zOf(HELD) * sd;
  return { n, bias, sd, biasCi: [bias - half, bias + half], limits: [bias - reach, bias + reach] };
}

/**
 * Where the true lower and the true upper limit of agreement lie, exactly, by the noncentral t distribution (Carkeet, Optom Vis
 * Sci 2015;92:e71-e80), at 95 % unless said otherwise: few pairs leave them wide, which the limits alone do not show.
 * `limitsIntervals(differences({x: [1, 2, 3], y: [0, 2, 4]})).upper` is 0.7126 to 12.816.
 */
export function limitsIntervals({ n, bias, sd }: Differences, confidence = 0.95): { lower: Interval; upper: Interval } {
  const delta = zOf(HELD) * Math.sqrt(n);
  const reach = (p: number) => (noncentralTQuantile(p, n - 1, delta) / Math.sqrt(n)) * sd;
  const [near, far] = [reach((1 - confidence) / 2), reach((1 + confidence) / 2)];
  return { lower: [bias - far, bias - near], upper: [bias + near, bias + far] };
}

export interface Equivalence {
  low: number;
  high: number;
  /** The larger of the two one-sided p. */
  p: number;
  /** At confidence 1 - 2 alpha; equivalence is claimed when it lies within the limits. */
  ci: Interval;
  equivalent: boolean;
}

/**
 * Whether the mean difference x - y lies within limits set beforehand, by two one-sided t tests (Schuirmann, J Pharmacokinet
 * Biopharm 1987;15:657-680), at alpha 0.05 unless said otherwise. Refuses a low limit that is not below the high one.
 * `equivalence({x: [1, 2, 3, 4], y: [1.1, 2.1, 2.9, 4]}, -1, 1).equivalent` is true.
 */
export function equivalence(pairs: Pairs, low: number, high: number, alpha = 0.05): Equivalence {
  if (!(low < high)) {
    throw new Refusal(
      'invalid',
      'bad-limits',
      `the limits are ${low} and ${high}; give the low one first, below the other`,
    );
  }
  const { n, mean: bias, sd } = differenceSummary(pairs);
  const se = sd / Math.sqrt(n);
  const half = studentTQuantile(1 - alpha, n - 1) * se;
  const p = Math.max(upperP(bias - low, se, n - 1), upperP(high - bias, se, n - 1));
  return { low, high, p, ci: [bias - half, bias + half], equivalent: p < alpha };
}

function differenceSummary(pairs: Pairs): Summary {
  return summarise(zipped(checkedPairs(pairs, 2)).map(([x, y]) => x - y));
}

/** P(T > gap/se); without any spread the gap alone decides. */
function upperP(gap: number, se: number, df: number): number {
  if (se === 0) return gap > 0 ? 0 : 1;
  return studentTCdf(-gap / se, df);
}
