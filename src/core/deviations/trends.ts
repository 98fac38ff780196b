import { poissonCdf } from '../statistics/poisson.js';

/** Deviations that have something in common, and the runs in which they could have happened. */
export interface Counted {
  key: string;
  name: string;
  deviations: number;
  /** Null where no number of runs stands behind them. */
  runs: number | null;
}

export interface Ranked extends Counted {
  /** Deviations per run; null without a denominator. */
  rate: number | null;
  /** Part of all that were counted, 0 to 1. */
  share: number;
  /** Part of all together with those ranked before it. */
  cumulative: number;
}

/**
 * Groups with deviations, the most frequent first, each with its rate, its share and the share up to it, as a Pareto
 * diagram shows them (Juran; common practice). Shares are of the sum over the groups. Two of 'a' in 4 runs and one of 'b' in
 * 10 give 'a' the rate 0.5 and the share 2/3.
 */
export function ranked(groups: readonly Counted[]): Ranked[] {
  const some = groups.filter(({ deviations }) => deviations > 0);
  const all = some.reduce((sum, { deviations }) => sum + deviations, 0);
  let before = 0;
  return [...some]
    .sort((a, b) => b.deviations - a.deviations || (a.key < b.key ? -1 : 1))
    .map((group) => {
      before += group.deviations;
      return { ...group, rate: rateOf(group), share: group.deviations / all, cumulative: before / all };
    });
}

function rateOf({ deviations, runs }: Counted): number | null {
  return runs === null || runs === 0 ? null : deviations / runs;
}

/** Chance beyond three standard deviations on one side, which is what Shewhart's limits let pass. */
const BEYOND_THREE_SIGMA = 0.00135;

/**
 * Whether so many deviations are more than the process itself gives where so many are expected: the chance of as many or
 * more, by Poisson, is below 0.00135, which is three standard deviations on one side. Until then a difference between people
 * is the process. `beyondProcess(6, 1)` is true, `beyondProcess(5, 1)` is not.
 */
export function beyondProcess(deviations: number, expected: number): boolean {
  return deviations > 0 && 1 - poissonCdf(deviations - 1, expected) < BEYOND_THREE_SIGMA;
}
