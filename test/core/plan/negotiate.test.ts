import { describe, expect, it } from '@jest/globals';
import { checkPlan } from '../../../src/core/plan/check.js';
import { negotiate } from '../../../src/core/plan/negotiate.js';
import type { PlanProblem, PlanStep, Schedule } from '../../../src/core/plan/problem.js';
import { sequence } from '../../../src/core/plan/sequence.js';
import { endOfRuns, quickBound } from '../../../src/core/plan/solve.js';
import { crowded, racks } from './benches.js';
import { endOf, laidOut, scheduleOf } from './schedules.js';

const WORKED = (): boolean => true;

function negotiated(problem: PlanProblem, limit: number, placements: number, seed: number): Schedule | null {
  const { model, flow } = laidOut(problem);
  const starts = negotiate(flow, model, limit, placements, sequence(seed), WORKED);
  return starts && scheduleOf(problem, model, starts);
}

/** Twelve racks of fifteen steps, each of which may wait a fiftieth to a tenth of its time at most. */
const shortWindows = (seed: number): PlanProblem =>
  racks({ runs: 12, steps: 15, kinds: 12, handsOnSec: [5, 12], slack: [0.02, 0.1] }, seed);

describe('negotiation', () => {
  it('keeps every window, every pair of hands, every station and the limit', () => {
    const found = Array.from({ length: 40 }, (_, k) => {
      const problem = crowded(k + 1);
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

  // Of six benches the three on which one negotiation is enough; the others take more than one limit, or have no such plan.
  it.each([1, 2, 4])('finds places for twelve racks with short windows within 5 %% of the bound: %d', (seed) => {
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
