import type { Activity, Resource } from './activity.js';
import { ORIGIN, type Demand } from './network.js';
import { placedAt, shareOut } from './share-out.js';
import type { Interval, PlanProblem, PlanRun } from './problem.js';

/** A problem as moments (every one but the origin is the start of one step of one run), demands between two of them, and resources: a disjunctive temporal network. */
export interface Model {
  size: number;
  runIds: string[];
  /** Moment of each step of each run. */
  moments: number[][];
  /** Hands-on seconds by moment. */
  handsOn: number[];
  demands: Demand[];
  /**
   * Runs that do not differ, by index. Of any two of them each step of the first named may be taken to come first: where
   * one overtakes the other, they can swap what remains.
   */
  twins: number[][];
  resources: Resource[];
  /** No schedule that starts everything as early as its orders allow ends later. */
  horizonSec: number;
}

/** That the steps of runs which do not differ come in the order of the runs. */
export function orderOfTwins({ twins, moments }: Model): Demand[] {
  return twins.flatMap((runs) =>
    runs
      .slice(1)
      .flatMap((r, k) =>
        (moments[r] ?? []).map((to, step) => ({ from: moments[runs[k] ?? r]?.[step] ?? to, to, weight: 0 })),
      ),
  );
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
  return {
    size: handsOn.length,
    runIds: problem.runs.map(({ id }) => id),
    moments,
    handsOn,
    demands,
    twins: twinsOf(problem),
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

function twinsOf(problem: PlanProblem): number[][] {
  const groups = new Map<string, number[]>();
  problem.runs.forEach((run, r) => {
    if (run.begunSec?.length || run.id === problem.earliestStartOf) return;
    const likeness = likenessOf(run);
    groups.set(likeness, [...(groups.get(likeness) ?? []), r]);
  });
  return [...groups.values()].filter(({ length }) => length > 1);
}

/** Equal for runs that are planned alike. */
function likenessOf({ steps, earliestSec, latestStartSec, deadlineSec, priority }: PlanRun): string {
  return JSON.stringify([
    steps.map(({ handsOnSec, minSec, maxSec, station }) => [handsOnSec, minSec, maxSec, station]),
    [earliestSec ?? 0, latestStartSec, deadlineSec, priority ?? 0],
  ]);
}

function handsOf({ runs, hands, busy }: PlanProblem, moments: number[][], horizonSec: number): Resource {
  const work: Activity[] = [];
  const held = (busy ?? []).map((interval) => fixedAt(interval, horizonSec));
  const away = hands.map((pair) => apart(pair.away.map((interval) => fixedAt(interval, horizonSec))));
  runs.forEach(({ steps, begunSec }, r) => {
    steps.forEach(({ handsOnSec }, k) => {
      const moment = moments[r]?.[k] as number;
      const at = begunSec?.[k];
      if (handsOnSec === 0) return;
      if (at === undefined) work.push({ start: moment, startLag: 0, end: moment, endLag: handsOnSec, units: 1 });
      else held.push(fixedAt({ fromSec: at, toSec: at + handsOnSec }, horizonSec));
    });
  });
  const capacity = hands.length;
  const alike = away.every((intervals) => intervals.length === 0) || capacity === 1;
  const taken = profileOf([...held, ...away.flat()], capacity);
  const resource = { capacity, work, taken, away: alike ? [] : away };
  return { ...resource, held: whatFinds(resource, held) };
}

/** Of what is fixed that which units of the resource can do; the rest was shared somehow and takes nobody of its own. */
function whatFinds(resource: Pick<Resource, 'capacity' | 'away'>, fixed: Activity[]): Activity[] {
  const held: Activity[] = [];
  for (const activity of fixed) {
    const { units } = shareOut(
      placedAt([...held, activity], () => 0),
      resource,
    );
    if (units) held.push(activity);
  }
  return held;
}

function stationsOf({ runs, stations }: PlanProblem, moments: number[][], horizonSec: number): Resource[] {
  return (stations ?? []).map(({ id, capacity }) => {
    const work: Activity[] = [];
    const held: Activity[] = [];
    runs.forEach(({ steps, begunSec }, r) => {
      for (const { from, to } of staysAt(steps, id)) {
        const [start, end] = [moments[r]?.[from] as number, moments[r]?.[to] as number];
        const endLag = steps[to]?.handsOnSec ?? 0;
        const [began, ended] = [begunSec?.[from], begunSec?.[to]];
        if (began !== undefined && ended !== undefined)
          held.push(fixedAt({ fromSec: began, toSec: ended + endLag }, horizonSec));
        else if (start !== end || endLag > 0) work.push({ start, startLag: 0, end, endLag, units: 1 });
      }
    });
    return {
      capacity,
      work,
      taken: profileOf(held, capacity),
      away: [],
      held: whatFinds({ capacity, away: [] }, held),
    };
  });
}

function fixedAt({ fromSec, toSec }: Interval, horizonSec: number): Activity {
  // Past the horizon is past everything.
  const endLag = toSec ?? Math.max(fromSec, horizonSec) + 1;
  return { start: ORIGIN, startLag: fromSec, end: ORIGIN, endLag, units: 1 };
}

/** Fixed activities of one unit, where they overlap made into one. */
function apart(fixed: Activity[]): Activity[] {
  const out: Activity[] = [];
  for (const next of fixed.toSorted((a, b) => a.startLag - b.startLag)) {
    const before = out.at(-1);
    if (before && next.startLag <= before.endLag) before.endLag = Math.max(before.endLag, next.endLag);
    else out.push(next);
  }
  return out;
}

/** How many units fixed activities take together, stretch by stretch, at most all that there are. */
function profileOf(fixed: Activity[], capacity: number): Activity[] {
  const changes = new Map<number, number>();
  for (const { startLag, endLag } of fixed) {
    changes.set(startLag, (changes.get(startLag) ?? 0) + 1);
    changes.set(endLag, (changes.get(endLag) ?? 0) - 1);
  }
  const points = [...changes].sort(([a], [b]) => a - b);
  const taken: Activity[] = [];
  let count = 0;
  points.forEach(([sec, by], k) => {
    count += by;
    const units = Math.min(count, capacity);
    if (units === 0) return;
    const until = points[k + 1]?.[0] ?? sec;
    const before = taken.at(-1);
    if (before?.endLag === sec && before.units === units) before.endLag = until;
    else taken.push({ start: ORIGIN, startLag: sec, end: ORIGIN, endLag: until, units });
  });
  return taken;
}

/** From which step to the hands-on moment of which a run stays at a station; a step after a step there stays on. */
export function staysAt(steps: PlanRun['steps'], station: string): { from: number; to: number }[] {
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
  for (const { fromSec, toSec } of [...hands.flatMap(({ away }) => away), ...(busy ?? [])])
    moments.push(toSec ?? fromSec);
  let chain = 0;
  for (const { steps, earliestSec, begunSec } of runs) {
    moments.push(earliestSec ?? 0, ...(begunSec ?? []));
    for (const { handsOnSec, minSec } of steps) chain += Math.max(handsOnSec, minSec) + 1;
  }
  const enough = moments.reduce((latest, sec) => Math.max(latest, sec), 0) + chain;
  return Math.min(horizonSec ?? enough, enough);
}
