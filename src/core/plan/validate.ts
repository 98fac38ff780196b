import { Refusal, type Problem } from '../refusal.js';
import type { Interval, PlanProblem, PlanRun } from './problem.js';

/** Sums of more seconds than that are no bench's. */
const MOST_SEC = 1e9;

/**
 * Refuses a problem that is malformed (times that are no whole seconds, unknown names, the same name twice), with each
 * place. What is well formed and cannot be done, such as no hands or a minimum above its maximum, is no matter for a
 * refusal: the planner answers that there is no plan.
 */
export function validatePlanProblem(problem: PlanProblem): void {
  const problems: Problem[] = [];
  const wrong = (at: string, message: string): unknown => problems.push({ at, message });
  const seconds = (at: string, value: number | null | undefined): void => {
    if (value === undefined || value === null) return;
    if (!Number.isInteger(value) || value < 0 || value > MOST_SEC) {
      wrong(at, `is ${value}; give whole seconds from 0 to ${MOST_SEC}`);
    }
  };
  const intervals = (at: string, list: Interval[]): void => {
    list.forEach(({ fromSec, toSec }, i) => {
      seconds(`${at}.${i}.fromSec`, fromSec);
      seconds(`${at}.${i}.toSec`, toSec);
      if (toSec !== null && toSec <= fromSec) {
        wrong(`${at}.${i}`, `ends at ${toSec}, not after its start at ${fromSec}; give an end after the start`);
      }
    });
  };
  const names = (at: string, list: { id: string }[]): void => {
    list.forEach(({ id }, i) => {
      if (id === '') wrong(`${at}.${i}.id`, 'is empty; give a name');
      else if (list.findIndex((other) => other.id === id) < i) wrong(`${at}.${i}.id`, `is "${id}" a second time`);
    });
  };

  names('runs', problem.runs);
  names('hands', problem.hands);
  names('stations', problem.stations ?? []);
  problem.hands.forEach(({ away }, i) => intervals(`hands.${i}.away`, away));
  intervals('busy', problem.busy ?? []);
  problem.stations?.forEach(({ capacity }, i) => {
    if (!Number.isInteger(capacity) || capacity < 0) {
      wrong(`stations.${i}.capacity`, `is ${capacity}; give a whole number of places`);
    }
  });
  seconds('nowSec', problem.nowSec);
  seconds('horizonSec', problem.horizonSec);
  const stations = new Set(problem.stations?.map(({ id }) => id));
  problem.runs.forEach((run, r) => validateRun(run, `runs.${r}`, stations, seconds, wrong));
  const { earliestStartOf } = problem;
  if (earliestStartOf !== undefined && !problem.runs.some(({ id }) => id === earliestStartOf)) {
    wrong('earliestStartOf', `is "${earliestStartOf}", which is none of the runs; name one of them`);
  }
  const first = problems[0];
  if (first) throw new Refusal('invalid', 'bad-plan', `${first.at} ${first.message}`, problems);
}

function validateRun(
  run: PlanRun,
  at: string,
  stations: Set<string>,
  seconds: (at: string, value: number | null | undefined) => void,
  wrong: (at: string, message: string) => unknown,
): void {
  if (run.steps.length === 0) wrong(`${at}.steps`, 'is empty; a run has at least one step');
  run.steps.forEach((step, k) => {
    seconds(`${at}.steps.${k}.handsOnSec`, step.handsOnSec);
    seconds(`${at}.steps.${k}.minSec`, step.minSec);
    seconds(`${at}.steps.${k}.maxSec`, step.maxSec);
    seconds(`${at}.steps.${k}.targetSec`, step.targetSec);
    if (step.station !== undefined && !stations.has(step.station)) {
      wrong(`${at}.steps.${k}.station`, `is "${step.station}", which is none of the stations; add it to them`);
    }
  });
  seconds(`${at}.earliestSec`, run.earliestSec);
  seconds(`${at}.latestStartSec`, run.latestStartSec);
  seconds(`${at}.deadlineSec`, run.deadlineSec);
  if (run.priority !== undefined && !Number.isFinite(run.priority)) {
    wrong(`${at}.priority`, `is ${run.priority}; give a number, lower for what matters more`);
  }
  run.begunSec?.forEach((sec, k, all) => {
    seconds(`${at}.begunSec.${k}`, sec);
    if (k > 0 && sec < (all[k - 1] ?? 0)) wrong(`${at}.begunSec.${k}`, 'lies before the step before it');
  });
  if ((run.begunSec?.length ?? 0) > run.steps.length) {
    wrong(`${at}.begunSec`, `has ${run.begunSec?.length} starts for ${run.steps.length} steps`);
  }
}
