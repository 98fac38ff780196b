import { describe, expect, it } from '@jest/globals';
import { checkPlan } from '../../../src/core/plan/check.js';
import { flowOf } from '../../../src/core/plan/flow.js';
import { modelOf } from '../../../src/core/plan/model.js';
import { negotiate } from '../../../src/core/plan/negotiate.js';
import type { PlanProblem, PlanStep, Schedule } from '../../../src/core/plan/problem.js';
import { sequence } from '../../../src/core/plan/sequence.js';
import { endOfRuns, quickBound } from '../../../src/core/plan/solve.js';

const WORKED = (): boolean => true;

/** What negotiation makes of a problem, with a pair of hands given to each moment as they become free. */
function negotiated(problem: PlanProblem, limit: number, placements: number, seed: number): Schedule | null {
  const model = modelOf(problem);
  const flow = flowOf(problem, model, endOfRuns(problem.runs)(model));
  const starts = negotiate(flow, model, limit, placements, sequence(seed), WORKED);
  if (!starts) return null;
  const schedule = problem.runs.map(({ id, steps }, r) => ({
    run: id,
    startsSec: model.moments[r]!.map((moment) => starts[moment]!),
    hands: steps.map((): string | null => null),
  }));
  const free = problem.hands.map(({ id }) => ({ id, sec: 0 }));
  const inOrder = schedule
    .flatMap(({ startsSec, hands }, r) =>
      startsSec.map((sec, k) => ({ sec, k, hands, step: problem.runs[r]!.steps[k]! })),
    )
    .filter(({ step }) => step.handsOnSec > 0)
    .sort((a, b) => a.sec - b.sec);
  for (const { sec, k, hands, step } of inOrder) {
    const pair = free.find((each) => each.sec <= sec) ?? free[0]!;
    hands[k] = pair.id;
    pair.sec = sec + step.handsOnSec;
  }
  return schedule;
}

function endOf({ runs }: PlanProblem, schedule: Schedule): number {
  return Math.max(...schedule.map(({ startsSec }, r) => startsSec.at(-1)! + runs[r]!.steps.at(-1)!.handsOnSec));
}

/** Invented benches of one to three pairs of hands, an oven for one and a bath for two. */
function bench(seed: number): PlanProblem {
  const draw = sequence(seed);
  const between = (least: number, most: number): number => least + draw(most - least + 1);
  const oneStep = (): PlanStep => {
    const handsOnSec = between(0, 12);
    const minSec = handsOnSec + between(5, 60);
    const maxSec = draw(3) === 0 ? null : minSec + between(0, 40);
    return { handsOnSec, minSec, maxSec, ...(draw(5) < 3 && { station: draw(2) === 0 ? 'oven' : 'bath' }) };
  };
  return {
    runs: Array.from({ length: between(3, 8) }, (_, r) => ({
      id: `rack ${r + 1}`,
      steps: Array.from({ length: between(3, 8) }, oneStep),
    })),
    hands: Array.from({ length: between(1, 3) }, (_, k) => ({ id: `pair ${k + 1}`, away: [] })),
    stations: [
      { id: 'oven', capacity: 1 },
      { id: 'bath', capacity: 2 },
    ],
  };
}

/** Twelve invented racks of fifteen steps, each of which may wait a fiftieth to a tenth of its time at most. */
function shortWindows(seed: number): PlanProblem {
  const draw = sequence(seed);
  const between = (least: number, most: number): number => least + draw(most - least + 1);
  const oneStep = (): PlanStep => {
    const handsOnSec = between(5, 12);
    const minSec = handsOnSec + between(20, 240);
    return { handsOnSec, minSec, maxSec: minSec + Math.round((minSec * between(20, 100)) / 1000) };
  };
  return {
    runs: Array.from({ length: 12 }, (_, r) => ({ id: `rack ${r + 1}`, steps: Array.from({ length: 15 }, oneStep) })),
    hands: [{ id: 'one', away: [] }],
  };
}

describe('negotiation', () => {
  it('keeps every window, every pair of hands, every station and the limit', () => {
    const found = Array.from({ length: 40 }, (_, k) => {
      const problem = bench(k + 1);
      // Time enough for most: a run after the other would take longer.
      const limit = 200 * problem.runs.length;
      const schedule = negotiated(problem, limit, 400, k);
      if (!schedule) return 0;
      expect([k, checkPlan(problem, schedule)]).toEqual([k, []]);
      expect(endOf(problem, schedule)).toBeLessThanOrEqual(limit);
      return 1;
    });
    expect(found.filter(Boolean).length).toBeGreaterThan(30);
  });

  it('finds nothing below what one run takes', () => {
    const problem = shortWindows(1);
    const longest = Math.max(...problem.runs.map(({ steps }) => lengthOf(steps)));
    expect(negotiated(problem, longest - 1, 100, 1)).toBeNull();
  });

  it.each([1, 8])('finds places for twelve racks with short windows within 5 %% of the bound: %d', (seed) => {
    const problem = shortWindows(seed);
    const limit = Math.floor(1.05 * quickBound(problem, endOfRuns(problem.runs)));
    const schedule = negotiated(problem, limit, 3000, 1);
    expect(schedule && checkPlan(problem, schedule)).toEqual([]);
    expect(schedule && endOf(problem, schedule)).toBeLessThanOrEqual(limit);
  });
});

function lengthOf(steps: PlanStep[]): number {
  return steps.reduce((sum, { minSec, handsOnSec }, k) => sum + (k < steps.length - 1 ? minSec : handsOnSec), 0);
}
