import { Refusal } from '../refusal.js';
import { binomialCdf } from '../statistics/binomial.js';
import { noncentralT } from '../statistics/noncentral-t.js';
import { normalQuantile } from '../statistics/normal.js';
import { studentTQuantile } from '../statistics/student-t.js';
import { clopperPearson, wilson, zOf, type Interval } from './proportion.js';

/** How wide the interval of a share may be: half of it at most `halfWidth`, when `expected` of the cases agree. */
export interface WidthGoal {
  expected: number;
  halfWidth: number;
  confidence: number;
}

/** Below this the search would pass a million cases. */
const NARROWEST = 0.001;

/**
 * The number of cases from which on every number keeps half of the interval within the goal, the count of agreeing cases being
 * expected n + 1/2 cut to whole: by the Wilson and Clopper-Pearson intervals, whose widths go up and down with n, and by the
 * plain normal formula z^2 p (1-p) / w^2 as a first guess only. Refuses a half width outside 0.001 to 0.5.
 * `casesForWidth({expected: 0.9, halfWidth: 0.1, confidence: 0.95})` is `{clopperPearson: 42, wilson: 38, wald: 35}`.
 */
export function casesForWidth(goal: WidthGoal): { clopperPearson: number; wilson: number; wald: number } {
  const { expected, halfWidth, confidence } = goal;
  share('expected share', expected);
  if (!(halfWidth >= NARROWEST && halfWidth <= 0.5)) {
    throw new Refusal('invalid', 'bad-setting', `the half width is ${halfWidth}; give one from ${NARROWEST} to 0.5`);
  }
  const wald = Math.ceil((zOf(confidence) ** 2 * expected * (1 - expected)) / halfWidth ** 2);
  return { clopperPearson: fromWhereOn(goal, clopperPearson), wilson: fromWhereOn(goal, wilson), wald };
}

function fromWhereOn(
  { expected, halfWidth, confidence }: WidthGoal,
  interval: (hits: number, n: number, confidence: number) => Interval,
): number {
  const holds = (hits: number, n: number) => {
    const [low, high] = interval(hits, n, confidence);
    // Widths that are equal in decimals may differ in the last binary digit.
    return (high - low) / 2 <= halfWidth + 1e-12;
  };
  // The widest that rounding can make it: the count moved half a case towards the middle. This does shrink steadily.
  const holdsAtWorst = (n: number) => {
    const towards = Math.min(0.5, Math.abs(0.5 - expected) * n);
    return holds(expected * n + (expected < 0.5 ? towards : -towards), n);
  };
  let high = 1;
  while (!holdsAtWorst(high)) high *= 2;
  let low = high / 2;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (holdsAtWorst(middle)) high = middle;
    else low = middle;
  }
  let n = high;
  while (n > 1 && holds(roundedHits(expected, n - 1), n - 1)) n -= 1;
  return n;
}

/** floor(p n + 1/2) with p as the decimal that it was given as: 0.15 times 10 is 1.5, whatever doubles make of it. */
function roundedHits(p: number, n: number): number {
  return Math.floor(p * n + 0.5 + 1e-9);
}

/**
 * The smallest number of cases that, with so many failures, still shows with one-sided confidence that at least `claim` of
 * cases are good: P(Bin(n, 1-claim) <= failures) <= 1 - confidence (Clopper and Pearson, Biometrika 1934;26:404-413).
 * `casesForClaim(0, 0.95, 0.95)` is 59.
 */
export function casesForClaim(failures: number, claim: number, confidence: number): number {
  share('claim', claim);
  share('confidence', confidence);
  if (claim === 0 || claim === 1 || confidence === 1) {
    throw new Refusal(
      'invalid',
      'bad-setting',
      'no number of cases shows a claim of 0 or 1, or all confidence; stay between',
    );
  }
  const shows = (n: number) => binomialCdf(failures, n, 1 - claim) <= (1 - confidence) * (1 + 1e-12);
  let high = failures + 1;
  while (!shows(high)) high *= 2;
  let low = failures;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (shows(middle)) high = middle;
    else low = middle;
  }
  return high;
}

/** What a comparison of lots must be able to see. */
export interface DifferenceGoal {
  /** The mean difference that would change care, in the unit of the results. */
  difference: number;
  /** Standard deviation of paired differences. */
  sd: number;
  alpha: number;
  power: number;
}

/**
 * How many pairs find a mean difference with the wanted power, two-sided at alpha: by the normal formula ((z_(1-alpha/2) +
 * z_power) sd / difference)^2, and exactly by the noncentral t distribution with the power then reached.
 * `pairsForDifference({difference: 10, sd: 5, alpha: 0.05, power: 0.9})` is `{normal: 3, exact: 5, power: 0.9088848681009395}`.
 */
export function pairsForDifference(goal: DifferenceGoal): { normal: number; exact: number; power: number } {
  const { difference, sd, alpha, power } = checkedGoal(goal);
  const normal = Math.ceil((((normalQuantile(1 - alpha / 2) + normalQuantile(power)) * sd) / difference) ** 2);
  const powerAt = (n: number) => {
    const t = studentTQuantile(1 - alpha / 2, n - 1);
    const delta = (difference / sd) * Math.sqrt(n);
    return 1 - noncentralT(t, n - 1, delta).cdf + noncentralT(-t, n - 1, delta).cdf;
  };
  let exact = Math.max(2, normal);
  while (powerAt(exact) < power) exact += 1;
  while (exact > 2 && powerAt(exact - 1) >= power) exact -= 1;
  return { normal, exact, power: powerAt(exact) };
}

/**
 * How many pairs show equivalence within -/+ `difference` with the wanted power by two one-sided tests at alpha, when the lots
 * truly do not differ: ((z_(1-alpha) + z_((1+power)/2)) sd / difference)^2 (Julious, Stat Med 2004;23:1921-1986; from memory).
 * `pairsForEquivalence({difference: 5, sd: 5, alpha: 0.05, power: 0.9})` is 11.
 */
export function pairsForEquivalence(goal: DifferenceGoal): number {
  const { difference, sd, alpha, power } = checkedGoal(goal);
  return Math.ceil((((normalQuantile(1 - alpha) + normalQuantile((1 + power) / 2)) * sd) / difference) ** 2);
}

function checkedGoal(goal: DifferenceGoal): DifferenceGoal {
  const { difference, sd, alpha, power } = goal;
  if (!(difference > 0 && sd > 0 && alpha > 0 && alpha < power && power < 1)) {
    throw new Refusal(
      'invalid',
      'bad-setting',
      `difference ${difference}, sd ${sd}, alpha ${alpha}, power ${power}; give the first two above 0 and 0 < alpha < power < 1`,
    );
  }
  return goal;
}

function share(what: string, value: number): void {
  if (!(value >= 0 && value <= 1)) throw new Refusal('invalid', 'bad-setting', `the ${what} is ${value}; give 0 to 1`);
}
