import { checkPlan } from './check.js';
import { modelOf, type Model } from './model.js';
import { obstaclesTo } from './obstacles.js';
import type { Obstacle, PlanProblem, PlanRun, Schedule } from './problem.js';
import { settle } from './settle.js';
import { placedAt, shareOut } from './share-out.js';
import { endOfRuns, possibility, quickBound, solve } from './solve.js';
import type { Aim } from './tighten.js';
import { validatePlanProblem } from './validate.js';

export type PlanAnswer =
  | {
      answer: 'plan';
      schedule: Schedule;
      /** End of the last hands-on moment of the last run. */
      makespanSec: number;
      /** No plan of this problem ends before. */
      boundSec: number;
      /** Each aim, in its turn, was proven to have no better value. */
      optimal: boolean;
      aims: AimReached[];
    }
  /** There is no plan: everything was looked at. The obstacles together stand in the way. */
  | { answer: 'none'; obstacles: Obstacle[]; minimal: boolean }
  /** None was found in the time given, which does not say that there is none. */
  | { answer: 'not found' };

export interface AimReached {
  /** What was to be as early as possible, each with what came before it held. */
  of:
    | { kind: 'overdue step'; run: string; step: number }
    | { kind: 'start'; run: string }
    | { kind: 'end'; priority: number };
  valueSec: number;
  boundSec: number;
  proven: boolean;
}

/** How many pieces of work an aim may take while others wait for their turn. */
const PIECES_BEFORE_OTHERS = 600;
/** How many nodes of search each run alone gets where there are too many to search them all. */
const NODES_ALONE = 100;

/**
 * Start times for all steps of all runs at which no pair of hands does two things at a time, every window, absence and
 * station holds and what has begun stays as it was. Aims, each held for the next: steps that are overdue, as soon as
 * hands can; `earliestStartOf`; the end of the last run, by priority; then steps near their targets. Branch and bound as
 * in methods of single-machine scheduling with time lags (Brucker, Hilbig, Hurink 1999, Discrete Appl Math 94:77-99).
 * `mayGoOn` is asked before each piece of work of about a millisecond; the best plan so far comes with a proven bound.
 * Every plan is checked by `checkPlan` first. Refuses a malformed problem. `plan({hands: [{id: 'a', away: []}], runs: [{id: 'r', steps: [{handsOnSec: 5, minSec: 20,
 * maxSec: 30}, {handsOnSec: 5, minSec: 0, maxSec: null}]}]}, () => true)` answers a plan with makespanSec 25, optimal.
 */
export function plan(problem: PlanProblem, mayGoOn: () => boolean): PlanAnswer {
  validatePlanProblem(problem);
  if (problem.runs.length === 0) {
    return { answer: 'plan', schedule: [], makespanSec: 0, boundSec: 0, optimal: true, aims: [] };
  }
  const late = overdueSteps(problem);
  const freed = withoutOverdue(problem);
  const impossibleRun = freed.runs.find((run) => possibility({ ...freed, runs: [run] }, NODES_ALONE) === 'impossible');
  if (impossibleRun) {
    return { answer: 'none', ...obstaclesTo({ ...freed, runs: [impossibleRun] }, mayGoOn) };
  }

  const stages = stagesOf(freed, late);
  let [current, starts]: [PlanProblem, number[][] | null] = [freed, null];
  const aims: AimReached[] = [];
  for (const [n, { of, aimOf, hold }] of stages.entries()) {
    let pieces = n < stages.length - 1 ? PIECES_BEFORE_OTHERS : Number.POSITIVE_INFINITY;
    const { best, bound, proven } = solve(current, aimOf, starts, () => pieces-- > 0 && mayGoOn());
    if (!best) return proven ? { answer: 'none', ...obstaclesTo(freed, mayGoOn) } : { answer: 'not found' };
    starts = best.starts;
    current = hold(current, best.value);
    aims.push({ of, valueSec: best.value, boundSec: bound, proven });
  }
  starts = settle(current, starts ?? []);
  const schedule = scheduleOf(freed, starts);
  const [violation] = checkPlan(freed, schedule);
  if (violation) {
    const { run, step, message } = violation;
    throw new Error(
      `the planner made a plan that breaks its problem, which is a fault: run ${run}, step ${step}: ${message}`,
    );
  }
  return { answer: 'plan', schedule, ...ends(freed, starts, aims), aims };
}

interface Stage {
  of: AimReached['of'];
  aimOf: (model: Model) => Aim;
  /** The problem in which the aim is kept at a value. */
  hold: (problem: PlanProblem, value: number) => PlanProblem;
}

function stagesOf(problem: PlanProblem, late: { r: number; k: number }[]): Stage[] {
  const { runs, earliestStartOf } = problem;
  const startOf = (r: number, k: number) => (model: Model) => ({
    terms: [{ moment: model.moments[r]?.[k] ?? 0, lag: 0 }],
  });
  const first = runs.findIndex(({ id }) => id === earliestStartOf);
  return [
    ...late.map(({ r, k }): Stage => ({
      of: { kind: 'overdue step', run: runs[r]?.id ?? '', step: k },
      aimOf: startOf(r, k),
      hold: (rest, value) => withRun(rest, r, (run) => withLongest(run, k - 1, value - (run.begunSec?.[k - 1] ?? 0))),
    })),
    ...(first < 0
      ? []
      : [
          {
            of: { kind: 'start' as const, run: runs[first]?.id ?? '' },
            aimOf: startOf(first, 0),
            hold: (rest: PlanProblem, value: number) =>
              withRun(rest, first, (run) => ({ ...run, latestStartSec: value })),
          },
        ]),
    ...[...new Set(runs.map(({ priority }) => priority ?? 0))]
      .sort((a, b) => a - b)
      .map((priority): Stage => {
        const own = runs.filter((run) => (run.priority ?? 0) === priority);
        return {
          of: { kind: 'end', priority },
          aimOf: endOfRuns(own),
          hold: (rest, value) => ({
            ...rest,
            runs: rest.runs.map((run) =>
              (run.priority ?? 0) === priority
                ? { ...run, deadlineSec: Math.min(run.deadlineSec ?? value, value) }
                : run,
            ),
          }),
        };
      }),
  ];
}

/** Steps whose longest wait is over and which have not begun: their limit cannot be held any more. */
function overdueSteps({ runs, nowSec }: PlanProblem): { r: number; k: number }[] {
  return runs.flatMap(({ steps, begunSec }, r) => {
    const k = begunSec?.length ?? 0;
    const [begun, most] = [begunSec?.[k - 1], steps[k - 1]?.maxSec ?? null];
    const over = begun !== undefined && k < steps.length && most !== null && begun + most < (nowSec ?? 0);
    return over ? [{ r, k }] : [];
  });
}

/** The problem without the limits that steps already begun have outrun, which is what every plan of it is checked against. */
export function withoutOverdue(problem: PlanProblem): PlanProblem {
  return overdueSteps(problem).reduce(
    (rest, { r, k }) => withRun(rest, r, (run) => withLongest(run, k - 1, null)),
    problem,
  );
}

function withRun(problem: PlanProblem, r: number, change: (run: PlanRun) => PlanRun): PlanProblem {
  return { ...problem, runs: problem.runs.map((run, i) => (i === r ? change(run) : run)) };
}

function withLongest(run: PlanRun, step: number, maxSec: number | null): PlanRun {
  return { ...run, steps: run.steps.map((each, k) => (k === step ? { ...each, maxSec } : each)) };
}

function ends(
  problem: PlanProblem,
  starts: number[][],
  aims: AimReached[],
): { makespanSec: number; boundSec: number; optimal: boolean } {
  const ended = problem.runs.map(({ steps }, r) => (starts[r]?.at(-1) ?? 0) + (steps.at(-1)?.handsOnSec ?? 0));
  const makespanSec = ended.reduce((a, b) => Math.max(a, b), 0);
  const optimal = aims.every(({ proven }) => proven);
  // A bound that was found with an earlier aim held counts only if that aim could not be better.
  const holds = aims.slice(0, -1).every(({ proven }) => proven);
  const boundSec = holds
    ? aims.reduce((most, { of, boundSec: bound }) => (of.kind === 'end' ? Math.max(most, bound) : most), 0)
    : quickBound(problem, endOfRuns(problem.runs));
  return { makespanSec, boundSec, optimal };
}

/** Who does what at the given starts. */
function scheduleOf(problem: PlanProblem, starts: number[][]): Schedule {
  const model = modelOf(problem);
  const byMoment = [0, ...starts.flat()];
  const hands = model.resources[0];
  const who = new Map<number, string>();
  if (hands) {
    const placed = placedAt([...hands.held, ...hands.work], (moment) => byMoment[moment] ?? 0);
    const { units } = shareOut(placed, hands);
    placed.forEach(({ activity }, k) => {
      const pair = problem.hands[units?.[k] ?? -1];
      if (pair) who.set(activity.start, pair.id);
    });
  }
  return problem.runs.map(({ id }, r) => ({
    run: id,
    startsSec: starts[r] ?? [],
    hands: (model.moments[r] ?? []).map((moment) => who.get(moment) ?? null),
  }));
}
