import { normalCdf } from '../statistics/normal.js';
import { signP } from '../statistics/binomial.js';
import { median } from '../statistics/sample.js';
import { checkedPairs, zipped, type Pairs } from './pairs.js';

/** What becomes of pairs without a difference: dropped before ranking (Wilcoxon), or ranked first and then dropped (Pratt). */
export type Zeros = 'wilcoxon' | 'pratt';

export interface SignedRank {
  /** Pairs that differ. */
  n: number;
  /** Sums of the ranks of the positive and of the negative differences x - y. */
  positive: number;
  negative: number;
  /** (positive - negative) / (positive + negative); null when no pair differs. */
  rankBiserial: number | null;
  /** Median of the mean of every two differences, zeros left out; null when no pair differs. */
  walshMedian: number | null;
  /** Null above 50 differing pairs, where the normal approximation serves. */
  exact: { twoSided: number; greater: number; less: number } | null;
  /** By the normal approximation with the variance corrected for ties; z is 0 when no pair differs. */
  z: number;
  normalP: number;
  normalPCorrected: number;
  /** Two-sided p of the sign test on the same pairs. */
  signTestP: number;
}

const MOST_EXACT = 50;
/** Differences are ties when they agree to this share of the largest result: 0.3 - 0.2 and 0.2 - 0.1 differ in doubles. */
const TIE = 1e-12;

/**
 * Wilcoxon's signed rank test for paired ordinal scores or numbers, with mid-ranks and the exact null distribution, and the
 * sign test (Wilcoxon, Biometrics Bull 1945;1:80-83; Pratt, J Am Stat Assoc 1959;54:655-667; Hollander and Wolfe 1973). Without
 * any difference every p is 1. With scores of 0 to 3 most pairs tie: list each changed slide rather than trust p.
 * `signedRank({x: [1, 2, 3], y: [0, 0, 0]}).exact?.twoSided` is 0.25.
 */
export function signedRank(pairs: Pairs, zeros: Zeros = 'wilcoxon'): SignedRank {
  const differences = zipped(checkedPairs(pairs, 1)).map(([x, y]) => x - y);
  const unit = TIE * Math.max(...pairs.x.map(Math.abs), ...pairs.y.map(Math.abs));
  const steps = differences.map((d) => (d === 0 ? 0 : Math.round(d / unit)));
  const ranked = midRanks(zeros === 'pratt' ? steps : steps.filter((d) => d !== 0)).filter(({ step }) => step !== 0);
  const n = ranked.length;
  const sum = (sign: 1 | -1) => ranked.reduce((total, { step, rank }) => (step * sign > 0 ? total + rank : total), 0);
  const [positive, negative] = [sum(1), sum(-1)];
  const ranks = ranked.map(({ rank }) => rank);
  const sd = Math.sqrt(ranks.reduce((total, rank) => total + rank ** 2, 0)) / 2;
  const excess = positive - (positive + negative) / 2;
  const z = n === 0 ? 0 : excess / sd;
  const corrected = n === 0 ? 0 : Math.max(Math.abs(excess) - 0.5, 0) / sd;
  return {
    n,
    positive,
    negative,
    rankBiserial: n === 0 ? null : (positive - negative) / (positive + negative),
    walshMedian: n === 0 ? null : median(walshAverages(differences.filter((d) => d !== 0))),
    exact: n > MOST_EXACT ? null : exactP(ranks, positive, negative),
    z,
    normalP: 2 * normalCdf(-Math.abs(z)),
    normalPCorrected: 2 * normalCdf(-corrected),
    signTestP: signP(ranked.filter(({ step }) => step > 0).length, n),
  };
}

/** Each with its rank by size from 1, ties sharing the mean of their ranks. */
function midRanks(steps: readonly number[]): { step: number; rank: number }[] {
  const sizes = steps.map(Math.abs).sort((a, b) => a - b);
  return steps.map((step) => {
    const first = sizes.indexOf(Math.abs(step));
    const last = sizes.lastIndexOf(Math.abs(step));
    return { step, rank: (first + last) / 2 + 1 };
  });
}

/** From the distribution of the sum when each rank is positive or not by the toss of a coin, on doubled ranks, which are whole. */
function exactP(ranks: readonly number[], positive: number, negative: number): SignedRank['exact'] {
  const total = 2 * (positive + negative);
  const chance = new Float64Array(total + 1);
  chance[0] = 1;
  for (const rank of ranks) {
    for (let sum = total; sum >= 0; sum--) {
      chance[sum] = ((chance[sum] ?? 0) + (chance[sum - 2 * rank] ?? 0)) / 2;
    }
  }
  const atMost = (sum: number) => chance.slice(0, 2 * sum + 1).reduce((all, one) => all + one, 0);
  const [less, greater] = [atMost(positive), atMost(negative)];
  return { twoSided: Math.min(1, 2 * Math.min(less, greater)), greater, less };
}

function walshAverages(differences: readonly number[]): number[] {
  return differences.flatMap((a, i) => differences.slice(i).map((b) => (a + b) / 2));
}
