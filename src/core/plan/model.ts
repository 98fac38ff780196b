import type { Interval, PlanProblem, PlanRun } from './problem.js';

/** Moment 0 of the network: second 0 of the problem's axis. Every other moment is the start of one step of one run. */
export const ORIGIN = 0;

/** "`to` at least `weight` seconds after `from`". */
export interface Demand {
  from: number;
  to: number;
  weight: number;
}

/** What takes units of a resource from `startLag` after the moment `start` to `endLag` after the moment `end`. */
export interface Activity {
  start: number;
  startLag: number;
  end: number;
  endLag: number;
  units: number;
}

export interface Resource {
  capacity: number;
  /** What may still move; each takes one unit. */
  work: Activity[];
  /** What cannot move, as stretches that do not overlap and never take more than there is: what was, was. */
  taken: Activity[];
  /** Of each pair of hands when it is away; stations are all alike. */
  away: Interval[][];
}

/** A problem as moments, demands between two of them, and resources: a disjunctive temporal network. */
export interface Model {
  size: number;
  /** Moment of each step of each run. */
  moments: number[][];
  /** Hands-on seconds by moment. */
  handsOn: number[];
  demands: Demand[];
  resources: Resource[];
  /** No schedule that starts everything as early as its orders allow ends later. */
  horizonSec: number;
}

/** The moments, demands and resources of a problem. */
export function modelOf(problem: PlanProblem): Model {
  const horizonSec = horizonOf(problem);
  const moments: number[][] = [];
  const handsOn = [0];
  for (const { steps } of problem.runs) {
    moments.push(steps.map(({ handsOnSec }) => handsOn.push(handsOnSec) - 1));
  }
  const demands = problem.runs.flatMap((run, r) => demandsOf(run, moments[r] ?? [], problem.nowSec ?? 0, horizonSec));
  demands.push(...orderOfEqualRuns(problem, moments));
  return {
    size: handsOn.length,
    moments,
    handsOn,
    demands,
    resources: [handsOf(problem, moments, horizonSec), ...stationsOf(problem, moments, horizonSec)],
    horizonSec,
  };
}

function demandsOf(run: PlanRun, moments: number[], nowSec: number, horizonSec: number): Demand[] {
  const demands: Demand[] = [];
  const begun = run.begunSec ?? [];
  const least = (from: number, to: number, weight: number): number => demands.push({ from, to, weight });
  const noLater = (moment: number, sec: number): number => least(moment, ORIGIN, -sec);
  run.steps.forEach((step, k) => {
    const moment = moments[k] as number;
    const next = moments[k + 1];
    const at = begun[k];
    if (at === undefined) {
      least(ORIGIN, moment, k === 0 ? Math.max(nowSec, run.earliestSec ?? 0) : nowSec);
      if (k === 0 && run.latestStartSec !== undefined) noLater(moment, run.latestStartSec);
    } else {
      least(ORIGIN, moment, at);
      noLater(moment, at);
    }
    if (next === undefined) {
      if (at === undefined) noLater(moment, Math.min(run.deadlineSec ?? horizonSec, horizonSec) - step.handsOnSec);
    } else if (begun[k + 1] === undefined) {
      least(moment, next, step.minSec);
      if (step.maxSec !== null) least(next, moment, -step.maxSec);
    }
  });
  return demands;
}

/** Of runs that do not differ the first named starts first; that loses no plan and spares the search all the others. */
function orderOfEqualRuns(problem: PlanProblem, moments: number[][]): Demand[] {
  const last = new Map<string, number>();
  const demands: Demand[] = [];
  problem.runs.forEach(({ id, ...rest }, r) => {
    const first = moments[r]?.[0];
    if (first === undefined || rest.begunSec?.length || id === problem.earliestStartOf) return;
    const likeness = likenessOf(rest);
    const before = last.get(likeness);
    if (before !== undefined) demands.push({ from: before, to: first, weight: 0 });
    last.set(likeness, first);
  });
  return demands;
}

/** Equal for runs that are planned alike. */
export function likenessOf({ steps, earliestSec, latestStartSec, deadlineSec, priority }: Omit<PlanRun, 'id'>): string {
  return JSON.stringify([
    steps.map(({ handsOnSec, minSec, maxSec, station }) => [handsOnSec, minSec, maxSec, station]),
    [earliestSec ?? 0, latestStartSec, deadlineSec, priority ?? 0],
  ]);
}

function handsOf({ runs, hands, busy }: PlanProblem, moments: number[][], horizonSec: number): Resource {
  const work: Activity[] = [];
  const fixed: Interval[] = [...hands.flatMap(({ away }) => away), ...(busy ?? [])];
  runs.forEach(({ steps, begunSec }, r) => {
    steps.forEach(({ handsOnSec }, k) => {
      const moment = moments[r]?.[k] as number;
      const at = begunSec?.[k];
      if (handsOnSec === 0) return;
      if (at === undefined) work.push({ start: moment, startLag: 0, end: moment, endLag: handsOnSec, units: 1 });
      else fixed.push({ fromSec: at, toSec: at + handsOnSec });
    });
  });
  const capacity = hands.length;
  return { capacity, work, taken: profileOf(fixed, capacity, horizonSec), away: hands.map(({ away }) => away) };
}

function stationsOf({ runs, stations }: PlanProblem, moments: number[][], horizonSec: number): Resource[] {
  return (stations ?? []).map(({ id, capacity }) => {
    const work: Activity[] = [];
    const fixed: Interval[] = [];
    runs.forEach(({ steps, begunSec }, r) => {
      for (const { from, to } of staysAt(steps, id)) {
        const [start, end] = [moments[r]?.[from] as number, moments[r]?.[to] as number];
        const endLag = steps[to]?.handsOnSec ?? 0;
        const [began, ended] = [begunSec?.[from], begunSec?.[to]];
        if (began !== undefined && ended !== undefined) fixed.push({ fromSec: began, toSec: ended + endLag });
        else if (start !== end || endLag > 0) work.push({ start, startLag: 0, end, endLag, units: 1 });
      }
    });
    return { capacity, work, taken: profileOf(fixed, capacity, horizonSec), away: [] };
  });
}

/** How many units the intervals take together, stretch by stretch, at most all that there are. */
function profileOf(intervals: Interval[], capacity: number, horizonSec: number): Activity[] {
  const changes = new Map<number, number>();
  const change = (sec: number, by: number): unknown => changes.set(sec, (changes.get(sec) ?? 0) + by);
  for (const { fromSec, toSec } of intervals) {
    change(fromSec, 1);
    // Past the horizon is past everything.
    change(toSec ?? Math.max(fromSec, horizonSec) + 1, -1);
  }
  const taken: Activity[] = [];
  let count = 0;
  for (const [sec, by] of [...changes].sort(([a], [b]) => a - b)) {
    const before = taken.at(-1);
    const units = Math.min(count, capacity);
    if (before && units > 0) before.endLag = sec;
    count += by;
    const after = Math.min(count, capacity);
    if (after > 0 && (after !== units || !before)) {
      taken.push({ start: ORIGIN, startLag: sec, end: ORIGIN, endLag: sec, units: after });
    }
  }
  return taken;
}

/** From which step to the hands-on moment of which a run stays at a station; a step after a step there stays on. */
function staysAt(steps: PlanRun['steps'], station: string): { from: number; to: number }[] {
  const stays: { from: number; to: number }[] = [];
  steps.forEach((step, k) => {
    if (step.station !== station) return;
    const to = Math.min(k + 1, steps.length - 1);
    const before = stays.at(-1);
    if (before && before.to === k && steps[k - 1]?.station === station) before.to = to;
    else stays.push({ from: k, to });
  });
  return stays;
}

/**
 * The end that no plan needs to pass. In a plan that starts everything as early as its orders allow, each start is
 * justified by a chain that begins at a fixed moment and uses each step once.
 */
function horizonOf({ runs, hands, busy, nowSec, horizonSec }: PlanProblem): number {
  const moments = [nowSec ?? 0];
  for (const { fromSec, toSec } of [...hands.flatMap(({ away }) => away), ...(busy ?? [])]) moments.push(toSec ?? fromSec);
  let chain = 0;
  for (const { steps, earliestSec, begunSec } of runs) {
    moments.push(earliestSec ?? 0, ...(begunSec ?? []));
    for (const { handsOnSec, minSec } of steps) chain += Math.max(handsOnSec, minSec) + 1;
  }
  const enough = moments.reduce((latest, sec) => Math.max(latest, sec), 0) + chain;
  return Math.min(horizonSec ?? enough, enough);
}
