import { beforeAll, describe, expect, it } from '@jest/globals';
import highs from 'highs';
import { checkPlan } from '../../../src/core/plan/check.js';
import { plan } from '../../../src/core/plan/plan.js';
import type { PlanProblem, PlanRun } from '../../../src/core/plan/problem.js';

const PIECES = 20_000;

/** A linear congruential generator (Numerical Recipes, 3rd ed., section 7.1.1), so that every run sees the same cases. */
function dice(seed: number): (from: number, to: number) => number {
  let state = seed;
  return (from, to) => {
    state = (1664525 * state + 1013904223) % 2 ** 32;
    return from + Math.floor((state / 2 ** 32) * (to - from + 1));
  };
}

/** Larger than trying every second can do: several racks with tight windows and one pair of hands. */
function middleSized(seed: number, count: number, steps: number): PlanProblem {
  const throwFrom = dice(seed);
  const runs = Array.from({ length: count }, (_, r): PlanRun => {
    const moments = Array.from({ length: steps }, () => {
      const minSec = throwFrom(20, 90);
      return { handsOnSec: throwFrom(3, 12), minSec, maxSec: minSec + throwFrom(0, 15) };
    });
    return { id: `rack ${r}`, steps: moments, earliestSec: throwFrom(0, 30) };
  });
  return { runs, hands: [{ id: 'hands', away: [] }] };
}

/**
 * The same problem as a mixed-integer linear program in the CPLEX LP format: one real variable for each start, one choice
 * for each two moments of different runs, either of which goes first (the disjunctions of Manne 1960, Oper Res 8:219-223).
 */
function asProgram({ runs }: PlanProblem): string {
  const longest = runs
    .flatMap(({ steps }) => steps.map(({ maxSec }) => maxSec ?? 0))
    .reduce((sum, sec) => sum + sec, 200);
  const lines: string[] = [];
  const choices: string[] = [];
  const moments = runs.flatMap(({ steps, earliestSec = 0 }, r) =>
    steps.map(({ handsOnSec, minSec, maxSec }, k) => {
      const at = `s${r}_${k}`;
      if (k === 0) lines.push(`${at} >= ${earliestSec}`);
      if (k < steps.length - 1) {
        lines.push(`s${r}_${k + 1} - ${at} >= ${minSec}`, `s${r}_${k + 1} - ${at} <= ${maxSec}`);
      } else {
        lines.push(`makespan - ${at} >= ${handsOnSec}`);
      }
      return { r, at, handsOnSec };
    }),
  );
  for (const [n, a] of moments.entries()) {
    for (const b of moments.slice(n + 1).filter(({ r }) => r !== a.r)) {
      const choice = `first_${a.at}_${b.at}`;
      choices.push(choice);
      lines.push(
        `${b.at} - ${a.at} + ${longest} ${choice} >= ${a.handsOnSec}`,
        `${a.at} - ${b.at} - ${longest} ${choice} >= ${b.handsOnSec - longest}`,
      );
    }
  }
  return ['Minimize', 'makespan', 'Subject To', ...lines, 'Binary', ...choices, 'End'].join('\n');
}

describe('A general solver of mixed-integer programs (HiGHS: Huangfu, Hall 2018, Math Prog Comp 10:119-142)', () => {
  // The package's types tell of its CommonJS build; what is imported is the other one.
  const load = highs as unknown as typeof highs.default;
  let solver: Awaited<ReturnType<typeof load>>;
  beforeAll(async () => {
    solver = await load();
  });

  it.each([
    [1, 3, 4],
    [2, 3, 5],
    [3, 3, 5],
    [4, 4, 4],
    [5, 4, 4],
    [6, 5, 3],
  ])('finds no plan of case %i, %i racks with %i steps, that ends before the planner’s', (seed, racks, steps) => {
    const problem = middleSized(seed, racks, steps);
    const { Status, ObjectiveValue } = solver.solve(asProgram(problem), { mip_rel_gap: 0 });
    const found = plan(problem, upTo(PIECES));
    if (Status === 'Infeasible') {
      expect(found.answer).toBe('none');
      return;
    }
    expect(Status).toBe('Optimal');
    expect(found).toMatchObject({ answer: 'plan', makespanSec: Math.round(ObjectiveValue), optimal: true });
    if (found.answer === 'plan') expect(checkPlan(problem, found.schedule)).toEqual([]);
  });
});

/** As many pieces of work as asked for. */
function upTo(pieces: number): () => boolean {
  let left = pieces;
  return () => left-- > 0;
}
