import { Refusal } from '../refusal.js';
import { Fields } from '../time/fields.js';
import { plan } from './plan.js';
import type { Obstacle, PlanProblem, PlanRun, PlanStep } from './problem.js';

export type PlanResult =
  | {
      id: string;
      feasible: true;
      makespanSec: number;
      /** First start of the run that is to start earliest. */
      startSec?: number;
      /** No schedule ends before. */
      boundSec: number;
      optimal: boolean;
      /** Start of each step, by run. */
      starts: Record<string, number[]>;
    }
  | { id: string; feasible: false; obstacles: Obstacle[]; minimal: boolean };

/**
 * Plans one bench case `{id, hands, busy?, horizonSec?, runs, earliestStartOf?}` as given in JSON, whole seconds; refuses
 * one that cannot be computed, or for which neither a plan nor a proof that there is none is found in a fixed amount of
 * work. `computePlan({id: 'a', hands: 1, runs: [{id: 'r', steps: [{handsOnSec: 5, minSec: 20, maxSec: 30}, {handsOnSec:
 * 5, minSec: 0, maxSec: null}]}]})` is `{id: 'a', feasible: true, makespanSec: 25, boundSec: 25, optimal: true, starts:
 * {r: [0, 20]}}`.
 */
export function computePlan(input: unknown): PlanResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  const problem = readProblem(fields);
  let left = piecesOfWork(problem);
  const answer = plan(problem, () => left-- > 0);
  switch (answer.answer) {
    case 'none':
      return { id, feasible: false, obstacles: answer.obstacles, minimal: answer.minimal };
    case 'not found':
      throw new Refusal(
        'unavailable',
        'no-plan-found',
        'no plan was found in the work allowed, which does not prove that there is none; widen a window, move a deadline or plan fewer runs at a time',
      );
    case 'plan': {
      const starts = Object.fromEntries(answer.schedule.map(({ run, startsSec }) => [run, startsSec]));
      const { makespanSec, boundSec, optimal } = answer;
      const first = problem.earliestStartOf === undefined ? undefined : starts[problem.earliestStartOf]?.[0];
      return {
        id,
        feasible: true,
        makespanSec,
        ...(first !== undefined && { startSec: first }),
        boundSec,
        optimal,
        starts,
      };
    }
  }
}

/** About two seconds of work: a piece costs the more, the more moments there are. */
function piecesOfWork({ runs }: PlanProblem): number {
  const moments = runs.reduce((sum, { steps }) => sum + steps.length, 1);
  return Math.min(Math.max(Math.round(1e8 / moments ** 2), 50), 40_000);
}

function readProblem(fields: Fields): PlanProblem {
  const runs = fields.list('runs').map(readRun);
  const stations = new Set(runs.flatMap(({ steps }) => steps.flatMap(({ station }) => station ?? [])));
  const pairs = fields.number('hands');
  if (!Number.isInteger(pairs) || pairs > 100) {
    throw new Refusal(
      'invalid',
      'malformed-case',
      `hands is ${pairs}; give how many pairs of hands there are, 0 to 100`,
    );
  }
  const horizonSec = seconds(fields, 'horizonSec');
  const earliestStartOf = fields.has('earliestStartOf')
    ? fields.orNull('earliestStartOf', (name) => fields.text(name))
    : null;
  return {
    runs,
    hands: Array.from({ length: pairs }, (_, k) => ({ id: `pair ${k + 1}`, away: [] })),
    busy: fields.has('busy') ? fields.values('busy').map(readBusy) : [],
    stations: [...stations].map((id) => ({ id, capacity: 1 })),
    ...(horizonSec !== null && { horizonSec }),
    ...(earliestStartOf !== null && { earliestStartOf }),
  };
}

function readBusy(value: unknown, index: number): { fromSec: number; toSec: number } {
  const [fromSec, toSec, ...more] = new Fields({ busy: value }).numbers('busy');
  if (fromSec === undefined || toSec === undefined || more.length > 0) {
    throw new Refusal('invalid', 'malformed-case', `busy.${index} is not two numbers; give [from, to] in seconds`);
  }
  return { fromSec, toSec };
}

function readRun(fields: Fields): PlanRun {
  fields.onlyKeys('id', 'steps', 'earliestSec', 'deadlineSec', 'fixedStartSec');
  const fixed = seconds(fields, 'fixedStartSec');
  const deadlineSec = seconds(fields, 'deadlineSec');
  return {
    id: fields.text('id'),
    steps: fields.list('steps').map(readStep),
    earliestSec: Math.max(seconds(fields, 'earliestSec') ?? 0, fixed ?? 0),
    ...(fixed !== null && { latestStartSec: fixed }),
    ...(deadlineSec !== null && { deadlineSec }),
  };
}

function readStep(fields: Fields): PlanStep {
  fields.onlyKeys('handsOnSec', 'minSec', 'maxSec', 'station');
  const station = fields.has('station') ? fields.orNull('station', (name) => fields.text(name)) : null;
  return {
    handsOnSec: fields.number('handsOnSec'),
    minSec: seconds(fields, 'minSec') ?? 0,
    maxSec: seconds(fields, 'maxSec'),
    ...(station !== null && { station }),
  };
}

/** A number of seconds; null where the case gives none. */
function seconds(fields: Fields, name: string): number | null {
  return fields.has(name) ? fields.orNull(name, (given) => fields.number(given)) : null;
}
