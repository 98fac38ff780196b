import type { PlanProblem, PlanRun } from './problem.js';
import { staysAt } from './model.js';

/** Seconds from `from` to `to`, both included. */
interface Span {
  from: number;
  to: number;
}

/** Starts that a step can have; while the run is at a station, `stay` is the free stretch that it occupies. */
interface Reach extends Span {
  stay: Stay | null;
}

interface Stay {
  slot: Taken;
  until: number;
}

/** When one pair of hands, or one place of a station, is taken: half-open, in order, not overlapping. */
type Taken = Span[];

/** What is taken so far, by pair of hands and by place of each station. */
interface Board {
  hands: Taken[];
  places: Map<string, Taken[]>;
  horizonSec: number;
  nowSec: number;
}

/**
 * Puts the runs in one after the other, each so that it ends as early as what is already there lets it. For one run
 * against fixed others that is exact: the starts which each step can reach are carried from step to step as spans. Starts
 * by run, in the order of the problem; null when a run finds no place, which proves nothing.
 */
export function insertInOrder(problem: PlanProblem, order: number[], horizonSec: number): number[][] | null {
  const board = emptyBoard(problem, horizonSec);
  const starts: number[][] = [];
  for (const r of order) {
    const run = problem.runs[r] as PlanRun;
    const found = earliestEnd(run, board);
    if (!found) return null;
    occupy(run, found, board);
    starts[r] = found;
  }
  return starts;
}

function emptyBoard({ hands, busy, stations, nowSec }: PlanProblem, horizonSec: number): Board {
  const never = horizonSec + 1;
  const board: Board = {
    hands: hands.map(({ away }) => {
      const taken: Taken = [];
      for (const { fromSec, toSec } of away) take(taken, { from: fromSec, to: toSec ?? never });
      return taken;
    }),
    places: new Map((stations ?? []).map(({ id, capacity }) => [id, Array.from({ length: capacity }, () => [])])),
    horizonSec,
    nowSec: nowSec ?? 0,
  };
  for (const { fromSec, toSec } of [...(busy ?? [])].sort((a, b) => a.fromSec - b.fromSec)) {
    const span = { from: fromSec, to: toSec ?? never };
    const free = board.hands.find((taken) => isFree(taken, span)) ?? board.hands[0];
    if (free) take(free, span);
  }
  return board;
}

/** The starts of a run that let its last hands-on moment end earliest, each step as soon after the one before as then possible. */
function earliestEnd(run: PlanRun, board: Board): number[] | null {
  const { steps, begunSec } = run;
  const reached: Reach[][] = [];
  for (const [k, step] of steps.entries()) {
    const before = steps[k - 1];
    const at = begunSec?.[k];
    let reach: Reach[];
    if (at !== undefined) reach = [{ from: at, to: at, stay: null }];
    else if (before) {
      const least = Math.max(before.minSec, before.handsOnSec);
      reach = (reached[k - 1] as Reach[]).map(({ from, to, stay }) => ({
        from: Math.max(from + least, board.nowSec),
        to: before.maxSec === null ? board.horizonSec : to + before.maxSec,
        stay,
      }));
      reach = joined(reach);
    } else {
      const from = Math.max(run.earliestSec ?? 0, board.nowSec);
      reach = [{ from, to: run.latestStartSec ?? board.horizonSec, stay: null }];
    }
    if (k === steps.length - 1 && at === undefined) {
      const last = Math.min(run.deadlineSec ?? board.horizonSec, board.horizonSec) - step.handsOnSec;
      reach = reach.map((r) => ({ ...r, to: Math.min(r.to, last) }));
    }
    if (at === undefined) reach = withinHands(reach, step.handsOnSec, board.hands);
    reach = withinStation(reach, run, k, board);
    if (reach.length === 0) return null;
    reached.push(reach);
  }
  return traceBack(run, reached);
}

/** Spans of the same stay that touch become one. */
function joined(reach: Reach[]): Reach[] {
  const ordered = reach.filter(({ from, to }) => from <= to).sort((a, b) => a.from - b.from);
  const out: Reach[] = [];
  for (const next of ordered) {
    const same = out.findLast(({ stay }) => stay === next.stay);
    if (same && next.from <= same.to + 1) same.to = Math.max(same.to, next.to);
    else out.push({ ...next });
  }
  return out;
}

/** What of the starts finds a pair of hands for the whole hands-on moment. */
function withinHands(reach: Reach[], handsOnSec: number, hands: Taken[]): Reach[] {
  if (handsOnSec === 0) return reach.filter(({ from, to }) => from <= to);
  const out: Reach[] = [];
  for (const { from, to, stay } of reach) {
    for (const taken of hands) {
      let free = from;
      for (let i = firstEndingAfter(taken, from); free <= to; i++) {
        const next = taken[i];
        const until = Math.min(to, next ? next.from - handsOnSec : to);
        if (until >= free) out.push({ from: free, to: until, stay });
        if (!next) break;
        free = Math.max(free, next.to);
      }
    }
  }
  return joined(out);
}

/** Opens a stay for a step that begins one, holds the hands-on moment of the step that ends one inside it. */
function withinStation(reach: Reach[], run: PlanRun, k: number, board: Board): Reach[] {
  const { steps } = run;
  const handsOnSec = steps[k]?.handsOnSec ?? 0;
  const station = steps[k]?.station;
  const goesOn = k > 0 && steps[k - 1]?.station === station;
  const held = reach
    .map((r) => ({ ...r, to: r.stay ? Math.min(r.to, r.stay.until - handsOnSec) : r.to }))
    .filter(({ from, to }) => from <= to);
  if (station === undefined) return joined(held.map((r) => ({ ...r, stay: null })));
  if (goesOn) return held;
  const out: Reach[] = [];
  for (const slot of board.places.get(station) ?? []) {
    const gaps = gapsOf(slot, board.horizonSec).map((gap) => ({ ...gap, stay: { slot, until: gap.to } }));
    for (const { from, to } of joined(held.map((r) => ({ ...r, stay: null })))) {
      for (const gap of gaps) {
        const span = { from: Math.max(from, gap.from), to: Math.min(to, gap.to - handsOnSec), stay: gap.stay };
        if (span.from <= span.to) out.push(span);
      }
    }
  }
  return joined(out);
}

function gapsOf(taken: Taken, horizonSec: number): Span[] {
  const gaps: Span[] = [];
  let free = 0;
  for (const { from, to } of taken) {
    if (from > free) gaps.push({ from: free, to: from });
    free = Math.max(free, to);
  }
  gaps.push({ from: free, to: Math.max(horizonSec, free) });
  return gaps;
}

function traceBack({ steps, begunSec }: PlanRun, reached: Reach[][]): number[] | null {
  const starts: number[] = [];
  let stay: Stay | null = null;
  for (let k = steps.length - 1; k >= 0; k--) {
    const here = reached[k] as Reach[];
    const next = starts[k + 1];
    const step = steps[k] as PlanRun['steps'][number];
    if (next === undefined) {
      const first = here.reduce((a, b) => (b.from < a.from ? b : a));
      starts[k] = first.from;
      stay = first.stay;
      continue;
    }
    const begun = begunSec?.[k + 1] !== undefined;
    const to = begun ? next : next - Math.max(step.minSec, step.handsOnSec);
    const from = begun || step.maxSec === null ? 0 : next - step.maxSec;
    const goesOn: boolean = step.station !== undefined && steps[k + 1]?.station === step.station;
    const wanted: Stay | null = goesOn ? stay : null;
    let best: { at: number; stay: Stay | null } | null = null;
    for (const r of here) {
      const at = Math.min(r.to, to);
      if (at < r.from || at < from || (goesOn && r.stay !== wanted)) continue;
      // The hands-on moment that ends the stay has to lie within it.
      if (r.stay && next + (steps[k + 1]?.handsOnSec ?? 0) > r.stay.until) continue;
      if (!best || at > best.at) best = { at, stay: r.stay };
    }
    if (!best) return null;
    starts[k] = best.at;
    stay = best.stay;
  }
  return starts;
}

function occupy(run: PlanRun, starts: number[], board: Board): void {
  run.steps.forEach(({ handsOnSec }, k) => {
    const at = starts[k] as number;
    if (handsOnSec === 0) return;
    const span = { from: at, to: at + handsOnSec };
    // Nobody free: a moment that has begun and was shared.
    const free = board.hands.filter((taken) => isFree(taken, span));
    const tightest = free.sort((a, b) => idleBefore(a, at) - idleBefore(b, at))[0];
    if (tightest) take(tightest, span);
  });
  for (const [id, slots] of board.places) {
    for (const { from, to } of staysAt(run.steps, id)) {
      const span = { from: starts[from] as number, to: (starts[to] as number) + (run.steps[to]?.handsOnSec ?? 0) };
      const free = slots.find((taken) => isFree(taken, span));
      if (free) take(free, span);
    }
  }
}

/** Index of the first taken span that ends after a second. */
function firstEndingAfter(taken: Taken, sec: number): number {
  let [low, high] = [0, taken.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((taken[middle] as Span).to > sec) high = middle;
    else low = middle + 1;
  }
  return low;
}

function isFree(taken: Taken, { from, to }: Span): boolean {
  const next = taken[firstEndingAfter(taken, from)];
  return !next || next.from >= to;
}

function idleBefore(taken: Taken, sec: number): number {
  return sec - (taken[firstEndingAfter(taken, sec) - 1]?.to ?? 0);
}

/** Adds a span; spans that touch or overlap become one. */
function take(taken: Taken, span: Span): void {
  const first = firstEndingAfter(taken, span.from - 1);
  let [last, from, to] = [first, span.from, span.to];
  for (let next = taken[last]; next && next.from <= to; next = taken[++last]) {
    from = Math.min(from, next.from);
    to = Math.max(to, next.to);
  }
  taken.splice(first, last - first, { from, to });
}
