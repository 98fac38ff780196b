import { staysAt, type Model } from './model.js';
import { placedAt, shareOut } from './share-out.js';
import type { Aim } from './tighten.js';
import type { PlanProblem, PlanRun } from './problem.js';

/** Stands where there is no moment, no pair of hands and no place. */
export const NOTHING = -1;

/** A model laid out by moment, for building schedules from front to back. Moments that are not there are -1. */
export interface Flow {
  size: number;
  runs: number[][];
  /** By moment: its run, hands-on seconds, the step before and after, and the wait to the step after. */
  runOf: Int32Array;
  handsOn: Float64Array;
  before: Int32Array;
  after: Int32Array;
  least: Float64Array;
  most: Float64Array;
  /** By moment: earliest and latest second when nothing but its own run is looked at. */
  earliest: Float64Array;
  latest: Float64Array;
  /** By run: the moment that the aim looks at, -1 for none. */
  goal: Int32Array;
  /** By moment: least seconds from it to what its run makes of the aim; of one after the goal, minus infinity. */
  toGoal: Float64Array;
  aimIsEverything: boolean;
  /** Steps that have begun, in the order of their starts. */
  begun: { moment: number; sec: number }[];
  /** By moment: station at which a stay begins with it, and the last moment of that stay. */
  station: Int32Array;
  stayEnds: Int32Array;
  places: number[];
  /** By pair of hands: when it is not to be had, in order. */
  blocked: { from: number; to: number }[][];
  /** By run: the run that it does not differ from and never overtakes, -1 for none. */
  twin: Int32Array;
  work: number;
}

/** Lays a model out for building schedules towards an aim. */
export function flowOf(problem: PlanProblem, model: Model, aim: Aim): Flow {
  const { size, moments } = model;
  const ints = (): Int32Array => new Int32Array(size).fill(NOTHING);
  const numbers = (value: number): Float64Array => new Float64Array(size).fill(value);
  const flow: Flow = {
    size,
    runs: moments,
    runOf: ints(),
    handsOn: Float64Array.from(model.handsOn),
    before: ints(),
    after: ints(),
    least: numbers(0),
    most: numbers(Number.POSITIVE_INFINITY),
    earliest: numbers(0),
    latest: numbers(0),
    goal: new Int32Array(moments.length).fill(NOTHING),
    toGoal: numbers(Number.NEGATIVE_INFINITY),
    aimIsEverything: aim.terms.length === moments.length,
    begun: [],
    station: ints(),
    stayEnds: ints(),
    places: (problem.stations ?? []).map(({ capacity }) => capacity),
    blocked: blockedOf(model),
    twin: new Int32Array(moments.length).fill(NOTHING),
    work: 0,
  };
  problem.runs.forEach((_, r) => layOut(flow, r, problem, model.horizonSec));
  flow.begun.sort((a, b) => a.sec - b.sec);
  for (const { moment, lag } of aim.terms) {
    flow.goal[flow.runOf[moment] as number] = moment;
    flow.toGoal[moment] = lag;
    for (let m = moment, b = flow.before[m] as number; b !== NOTHING; m = b, b = flow.before[m] as number) {
      flow.toGoal[b] = (flow.toGoal[m] as number) + (flow.least[b] as number);
    }
  }
  for (const runs of model.twins)
    for (let k = 1; k < runs.length; k++) flow.twin[runs[k] as number] = runs[k - 1] as number;
  return flow;
}

/** The latest second at which a moment can be while its own run makes at most `limit` of the aim. */
export function latestFor({ latest, toGoal }: Flow, moment: number, limit: number): number {
  return Math.min(latest[moment] as number, limit - (toGoal[moment] as number));
}

/** What starts by moment make of the aim. */
export function valueOf({ goal, toGoal }: Flow, starts: ArrayLike<number>): number {
  let value = 0;
  for (const m of goal) if (m !== NOTHING) value = Math.max(value, (starts[m] as number) + (toGoal[m] as number));
  return value;
}

function layOut(flow: Flow, r: number, problem: PlanProblem, horizonSec: number): void {
  const run = problem.runs[r] as PlanRun;
  const moments = flow.runs[r] as number[];
  const { earliest, latest, least, most, handsOn } = flow;
  const begun = run.begunSec ?? [];
  run.steps.forEach((step, k) => {
    const moment = moments[k] as number;
    flow.runOf[moment] = r;
    if (begun[k] === undefined) flow.work += step.handsOnSec;
    else flow.begun.push({ moment, sec: begun[k] });
    const next = moments[k + 1];
    if (next === undefined) return;
    flow.after[moment] = next;
    flow.before[next] = moment;
    if (begun[k + 1] === undefined) {
      least[moment] = problem.hands.length === 1 ? Math.max(step.minSec, step.handsOnSec) : step.minSec;
      most[moment] = step.maxSec ?? Number.POSITIVE_INFINITY;
    } else least[moment] = Number.NEGATIVE_INFINITY;
  });
  (problem.stations ?? []).forEach(({ id }, station) => {
    for (const { from, to } of staysAt(run.steps, id)) {
      flow.station[moments[from] as number] = station;
      flow.stayEnds[moments[from] as number] = moments[to] as number;
    }
  });
  moments.forEach((moment, k) => {
    const before = moments[k - 1];
    const free =
      before === undefined ? (run.earliestSec ?? 0) : (earliest[before] as number) + (least[before] as number);
    earliest[moment] = begun[k] ?? Math.max(free, problem.nowSec ?? 0);
  });
  moments.toReversed().forEach((moment, back) => {
    const k = moments.length - 1 - back;
    const next = moments[k + 1];
    const end = Math.min(run.deadlineSec ?? horizonSec, horizonSec) - (handsOn[moment] as number);
    let sec = next === undefined ? end : (latest[next] as number) - (least[moment] as number);
    if (k === 0) sec = Math.min(sec, run.latestStartSec ?? sec);
    latest[moment] = begun[k] ?? sec;
  });
}

function blockedOf(model: Model): Flow['blocked'] {
  const hands = model.resources[0];
  if (!hands) return [];
  const { away, held, taken, capacity } = hands;
  if (capacity === 1) return [taken.map(({ startLag, endLag }) => ({ from: startLag, to: endLag }))];
  const placed = placedAt(held, () => 0);
  const { units } = shareOut(placed, hands);
  return Array.from({ length: capacity }, (_, person) =>
    [...(away[person] ?? []), ...placed.filter((_, k) => units?.[k] === person).map(({ activity }) => activity)]
      .map(({ startLag, endLag }) => ({ from: startLag, to: endLag }))
      .sort((a, b) => a.from - b.from),
  );
}
