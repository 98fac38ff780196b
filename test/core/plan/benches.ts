import type { Hands, PlanProblem, PlanRun, PlanStep } from '../../../src/core/plan/problem.js';
import { sequence } from '../../../src/core/plan/sequence.js';

export const pairs = (count: number): Hands[] =>
  Array.from({ length: count }, (_, k) => ({ id: `pair ${k + 1}`, away: [] }));

/** A bench of several hands and two stations that are wanted much of the time, so that places are handed on at once. */
export function crowded(seed: number): PlanProblem {
  const draw = sequence(seed);
  const between = (least: number, most: number): number => least + draw(most - least + 1);
  const oneStep = (): PlanStep => {
    const handsOnSec = between(0, 12);
    const minSec = handsOnSec + between(5, 60);
    const maxSec = draw(3) === 0 ? null : minSec + between(0, 40);
    const at = draw(5) < 3 && { station: draw(2) === 0 ? 'oven' : 'bath' };
    return { handsOnSec, minSec, maxSec, ...at };
  };
  const runs = Array.from({ length: between(4, 9) }, (_, r) => ({
    id: `rack ${r + 1}`,
    steps: Array.from({ length: between(4, 9) }, oneStep),
  }));
  const stations = [
    { id: 'oven', capacity: 1 },
    { id: 'bath', capacity: 2 },
  ];
  return { runs, hands: pairs(between(1, 3)), stations };
}

/** What invented racks are drawn from. */
export interface Racks {
  runs: number;
  steps: number;
  /** How many stains there are; racks of one stain do not differ. */
  kinds: number;
  /** Hands-on seconds of a step. */
  handsOnSec: [number, number];
  /** The longest wait of a step beyond its least, as a part of the least. */
  slack: [number, number];
}

/** Racks for one pair of hands with waits of 20 to 240 seconds; how long the last step may last matters to nobody. */
export function racks({ runs, steps, kinds, handsOnSec, slack }: Racks, seed: number): PlanProblem {
  const draw = sequence(seed);
  const between = (least: number, most: number): number => least + draw(most - least + 1);
  const stains = Array.from({ length: kinds }, () =>
    Array.from({ length: steps }, (_, k): PlanStep => {
      const hands = between(...handsOnSec);
      const minSec = hands + between(20, 240);
      const over = slack[0] + ((slack[1] - slack[0]) * draw(1000)) / 1000;
      return { handsOnSec: hands, minSec, maxSec: k === steps - 1 ? null : minSec + Math.round(minSec * over) };
    }),
  );
  const all: PlanRun[] = Array.from({ length: runs }, (_, r) => ({
    id: `run ${r + 1}`,
    steps: stains[r % kinds] ?? [],
  }));
  return { runs: all, hands: pairs(1) };
}
