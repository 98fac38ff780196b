import { flowOf, type Flow } from '../../../src/core/plan/flow.js';
import { type Model, modelOf } from '../../../src/core/plan/model.js';
import type { PlanProblem, Schedule } from '../../../src/core/plan/problem.js';
import { endOfRuns } from '../../../src/core/plan/solve.js';

/** A problem laid out for the end of its last run. */
export function laidOut(problem: PlanProblem): { model: Model; flow: Flow } {
  const model = modelOf(problem);
  return { model, flow: flowOf(problem, model, endOfRuns(problem.runs)(model)) };
}

/** Starts by moment as a schedule, with a pair of hands given to each moment as they become free. */
export function scheduleOf(problem: PlanProblem, { moments }: Model, starts: number[]): Schedule {
  const schedule = problem.runs.map(({ id, steps }, r) => ({
    run: id,
    startsSec: moments[r]!.map((moment) => starts[moment]!),
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

export function endOf({ runs }: PlanProblem, schedule: Schedule): number {
  return Math.max(...schedule.map(({ startsSec }, r) => startsSec.at(-1)! + runs[r]!.steps.at(-1)!.handsOnSec));
}
