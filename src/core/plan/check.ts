import type { PlanProblem, PlanRun, PlanStep, Schedule } from './problem.js';

/** One demand of a problem that a schedule does not meet. */
export interface PlanViolation {
  kind: 'run' | 'step' | 'begun' | 'too early' | 'too late' | 'too short' | 'too long' | 'hands' | 'away' | 'station';
  run: string;
  /** Index of the step; null for the run as a whole. */
  step: number | null;
  message: string;
}

/** A use of something: who, from when to when, half-open. */
interface Use {
  run: string;
  step: number;
  from: number;
  to: number;
  begun: boolean;
}

/**
 * What a schedule breaks of its problem, in words; empty for a plan that can be followed. Written from the definition of
 * the problem alone and sharing nothing with the planner, so that a plan is shown only when two agree on it. What has
 * begun has to stand as it was and is otherwise not judged.
 */
export function checkPlan(problem: PlanProblem, schedule: Schedule): PlanViolation[] {
  const violations: PlanViolation[] = [];
  for (const { run } of schedule) {
    const times = schedule.filter((each) => each.run === run).length;
    if (times > 1 || !problem.runs.some(({ id }) => id === run)) {
      violations.push({ kind: 'run', run, step: null, message: `"${run}" is planned ${times} times or is no run` });
    }
  }
  for (const run of problem.runs) {
    const starts = schedule.find((each) => each.run === run.id)?.startsSec ?? [];
    if (starts.length !== run.steps.length || !starts.every((sec) => Number.isInteger(sec))) {
      const message = `${starts.length} starts for ${run.steps.length} steps, or one that is no whole second`;
      violations.push({ kind: 'step', run: run.id, step: null, message });
    } else violations.push(...ofOneRun(problem, run, starts));
  }
  if (violations.some(({ kind }) => kind === 'run' || kind === 'step')) return violations;
  return [...violations, ...ofHands(problem, schedule), ...ofStations(problem, schedule)];
}

function ofOneRun({ nowSec, horizonSec }: PlanProblem, run: PlanRun, starts: number[]): PlanViolation[] {
  const found: PlanViolation[] = [];
  const add = (kind: PlanViolation['kind'], step: number, message: string): unknown =>
    found.push({ kind, run: run.id, step, message });
  const begun = run.begunSec?.length ?? 0;
  starts.forEach((sec, k) => {
    if (k < begun) {
      const was = run.begunSec?.[k];
      if (sec !== was) add('begun', k, `began at ${was}, is planned at ${sec}`);
      return;
    }
    if (sec < (nowSec ?? 0)) add('too early', k, `starts at ${sec}, before now, ${nowSec}`);
    if (k === 0) {
      if (sec < (run.earliestSec ?? 0)) add('too early', k, `starts at ${sec}, before ${run.earliestSec}`);
      if (run.latestStartSec !== undefined && sec > run.latestStartSec) {
        add('too late', k, `starts at ${sec}, after ${run.latestStartSec}`);
      }
      return;
    }
    const { minSec, maxSec } = run.steps[k - 1] as PlanStep;
    const lasts = sec - (starts[k - 1] as number);
    if (lasts < minSec) add('too short', k - 1, `lasts ${lasts} s, at least ${minSec} s are asked`);
    if (maxSec !== null && lasts > maxSec) add('too long', k - 1, `lasts ${lasts} s, at most ${maxSec} s are allowed`);
  });
  const last = run.steps.length - 1;
  const end = (starts[last] as number) + (run.steps[last] as PlanStep).handsOnSec;
  const due = Math.min(run.deadlineSec ?? Number.POSITIVE_INFINITY, horizonSec ?? Number.POSITIVE_INFINITY);
  if (begun <= last && end > due) add('too late', last, `ends at ${end}, after ${due}`);
  return found;
}

function ofHands(problem: PlanProblem, schedule: Schedule): PlanViolation[] {
  const found: PlanViolation[] = [];
  const uses: (Use & { hands: string | null })[] = problem.runs.flatMap((run) => {
    const planned = schedule.find((each) => each.run === run.id);
    return run.steps.flatMap(({ handsOnSec }, step) => {
      const from = planned?.startsSec[step] ?? 0;
      const begun = step < (run.begunSec?.length ?? 0);
      const hands = planned?.hands[step] ?? null;
      return handsOnSec > 0 ? [{ run: run.id, step, from, to: from + handsOnSec, begun, hands }] : [];
    });
  });
  const shared = new Map(problem.hands.map(({ id }) => [id, overlapping(uses.filter(({ hands }) => hands === id))]));
  for (const use of uses.filter(({ begun }) => !begun)) {
    const { run, step, from, to, hands } = use;
    const pair = problem.hands.find(({ id }) => id === hands);
    if (!pair) {
      found.push({
        kind: 'hands',
        run,
        step,
        message: `needs hands and has ${hands === null ? 'none' : `"${hands}"`}`,
      });
      continue;
    }
    const absence = pair.away.find(({ fromSec, toSec }) => fromSec < to && (toSec === null || toSec > from));
    if (absence) {
      const until = absence.toSec === null ? 'on' : `to ${absence.toSec}`;
      found.push({ kind: 'away', run, step, message: `${hands} is away from ${absence.fromSec} ${until}` });
    }
    const other = shared.get(pair.id)?.get(use);
    if (other) {
      const message = `${hands} does step ${other.step} of ${other.run} from ${other.from} to ${other.to}`;
      found.push({ kind: 'hands', run, step, message });
    }
  }
  const busy = (problem.busy ?? []).map(({ fromSec, toSec }) => ({
    from: fromSec,
    to: toSec ?? Number.POSITIVE_INFINITY,
  }));
  const away = problem.hands.flatMap((pair) => {
    // Away twice at a time is away once.
    let until = 0;
    return pair.away
      .toSorted((a, b) => a.fromSec - b.fromSec)
      .flatMap(({ fromSec, toSec }) => {
        const [from, to] = [Math.max(fromSec, until), toSec ?? Number.POSITIVE_INFINITY];
        until = Math.max(until, to);
        return to > from ? [{ from, to }] : [];
      });
  });
  found.push(...tooMany('hands', uses, [...busy, ...away], problem.hands.length, 'pairs of hands'));
  return found;
}

function ofStations(problem: PlanProblem, schedule: Schedule): PlanViolation[] {
  return (problem.stations ?? []).flatMap(({ id, capacity }) => {
    const stays: Use[] = [];
    for (const run of problem.runs) {
      const starts = schedule.find((each) => each.run === run.id)?.startsSec ?? [];
      run.steps.forEach(({ station }, step) => {
        if (station !== id) return;
        const end = Math.min(step + 1, run.steps.length - 1);
        const to = (starts[end] ?? 0) + (run.steps[end]?.handsOnSec ?? 0);
        const begun = end < (run.begunSec?.length ?? 0);
        const before = stays.at(-1);
        // Two steps in a row at one station are one stay.
        if (before?.run === run.id && run.steps[step - 1]?.station === id) Object.assign(before, { to, begun });
        else stays.push({ run: run.id, step, from: starts[step] ?? 0, to, begun });
      });
    }
    return tooMany('station', stays, [], capacity, `places at ${id}`);
  });
}

/** Of uses that exclude one another, each that overlaps another, with that other. */
function overlapping<T extends Use>(uses: T[]): Map<T, T> {
  const found = new Map<T, T>();
  let open: T | undefined;
  for (const use of uses.toSorted((a, b) => a.from - b.from)) {
    if (open && open.to > use.from) {
      found.set(use, open);
      found.set(open, use);
    }
    if (!open || use.to > open.to) open = use;
  }
  return found;
}

/** Uses that have not begun and at one of whose seconds more is needed than there is. */
function tooMany(
  kind: 'hands' | 'station',
  uses: Use[],
  others: { from: number; to: number }[],
  capacity: number,
  what: string,
): PlanViolation[] {
  const changes = new Map<number, number>();
  for (const { from, to } of [...uses, ...others]) {
    changes.set(from, (changes.get(from) ?? 0) + 1);
    changes.set(to, (changes.get(to) ?? 0) - 1);
  }
  let needed = 0;
  const over: { sec: number; needed: number }[] = [];
  for (const [sec, by] of [...changes].sort(([a], [b]) => a - b)) {
    needed += by;
    if (needed > capacity) over.push({ sec, needed });
  }
  return uses
    .filter(({ from, to, begun }) => !begun && to > from)
    .flatMap(({ run, step, from, to }) => {
      const first = over.find(({ sec }) => sec >= from && sec < to);
      if (!first) return [];
      return [{ kind, run, step, message: `at ${first.sec} ${first.needed} of ${capacity} ${what} are needed` }];
    });
}
