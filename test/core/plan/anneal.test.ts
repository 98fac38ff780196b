import { describe, expect, it } from '@jest/globals';
import { anneal } from '../../../src/core/plan/anneal.js';
import { type Built, OrderBuilder } from '../../../src/core/plan/build.js';
import { checkPlan } from '../../../src/core/plan/check.js';
import { type Flow, valueOf } from '../../../src/core/plan/flow.js';
import { insertInOrder } from '../../../src/core/plan/insertion.js';
import type { Model } from '../../../src/core/plan/model.js';
import type { PlanProblem } from '../../../src/core/plan/problem.js';
import { sequence } from '../../../src/core/plan/sequence.js';
import { crowded, racks } from './benches.js';
import { endOf, laidOut, scheduleOf } from './schedules.js';

const WORKED = (): boolean => true;
const NO_BOUND = 0;

/** Starts by moment of the runs put in one after the other. */
function oneByOne(problem: PlanProblem, { moments, size, horizonSec }: Model): number[] {
  const byRun = insertInOrder(
    problem,
    problem.runs.map((_, r) => r),
    horizonSec,
  )!;
  const starts = Array.from({ length: size }, () => 0);
  moments.forEach((own, r) => own.forEach((moment, k) => (starts[moment] = byRun[r]![k]!)));
  return starts;
}

function built({ size }: Flow): Built {
  const each = (): Int32Array => new Int32Array(size);
  return { starts: new Float64Array(size), handsBefore: each(), placeBefore: each() };
}

/** The moments in the order of their starts, and where each stands in it. */
function orderOf(starts: number[]): { order: Int32Array; position: Int32Array } {
  const order = Int32Array.from(starts.keys())
    .slice(1)
    .sort((a, b) => starts[a]! - starts[b]! || a - b);
  const position = new Int32Array(starts.length).fill(-1);
  order.forEach((moment, k) => (position[moment] = k));
  return { order, position };
}

describe('the schedule of an order', () => {
  it('starts nothing later than a schedule of that order with one pair of hands', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const problem = racks({ runs: 5, steps: 6, kinds: 5, handsOnSec: [5, 12], slack: [0.1, 0.5] }, seed);
      const { model, flow } = laidOut(problem);
      const starts = oneByOne(problem, model);
      const { order, position } = orderOf(starts);
      const made = built(flow);
      expect(new OrderBuilder(flow).build(order, position, valueOf(flow, starts), made)).toBe(true);
      made.starts.forEach((sec, moment) => expect(sec).toBeLessThanOrEqual(starts[moment]!));
      expect(checkPlan(problem, scheduleOf(problem, model, [...made.starts]))).toEqual([]);
    }
  });

  it('is refused when it makes more of the aim than the limit', () => {
    const problem = racks({ runs: 3, steps: 5, kinds: 1, handsOnSec: [5, 12], slack: [0.2, 1] }, 1);
    const { model, flow } = laidOut(problem);
    const { order, position } = orderOf(oneByOne(problem, model));
    const [builder, made] = [new OrderBuilder(flow), built(flow)];
    expect(builder.build(order, position, Number.POSITIVE_INFINITY, made)).toBe(true);
    const value = valueOf(flow, made.starts);
    expect(builder.build(order, position, value, made)).toBe(true);
    expect(builder.build(order, position, value - 1, made)).toBe(false);
  });
});

describe('annealing', () => {
  it('keeps every window, every pair of hands and every station, and never ends later', () => {
    const gained = Array.from({ length: 40 }, (_, k) => {
      const problem = crowded(k + 1);
      const { model, flow } = laidOut(problem);
      const given = oneByOne(problem, model);
      const schedule = scheduleOf(problem, model, anneal(flow, given, NO_BOUND, 3000, sequence(k), WORKED));
      expect([k, checkPlan(problem, schedule)]).toEqual([k, []]);
      return valueOf(flow, given) - endOf(problem, schedule);
    });
    expect(Math.min(...gained)).toBeGreaterThanOrEqual(0);
    // The others are as short as they can be, or have windows too short for another order.
    expect(gained.filter((sec) => sec > 0).length).toBeGreaterThan(15);
  });

  it('goes on no longer than it may, and not below the bound', () => {
    const problem = racks({ runs: 12, steps: 15, kinds: 12, handsOnSec: [8, 20], slack: [0.2, 1] }, 1);
    const { model, flow } = laidOut(problem);
    const given = oneByOne(problem, model);
    expect(anneal(flow, given, NO_BOUND, 1e9, sequence(1), () => false)).toEqual(given);
    expect(anneal(flow, given, valueOf(flow, given), 1e9, sequence(1), WORKED)).toEqual(given);
  });
});
