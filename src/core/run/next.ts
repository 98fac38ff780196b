import type { Step } from '../protocol/protocol.js';
import { gapWindow, stepWindow, targetMs } from '../protocol/windows.js';
import { ofOneClock, type Stamp } from '../time/duration.js';
import { epochMs, type Instant, plusMs } from '../time/instant.js';
import { plannedAt, type PlannedStart } from './planned.js';
import { controlReadings, type RunState, type StepState } from './state.js';
import type { RunView } from './view.js';

/** A run on a bench with where it stands, and what an accepted plan says of it, in order. */
export type BenchRun = Pick<RunView, 'id' | 'startedAt' | 'subjects'> & {
  state: RunState;
  plan?: readonly PlannedStart[];
};

/** One thing that hands have to do for a run, with the times that it must keep. */
export interface NextAction {
  runId: string;
  kind: 'start' | 'end' | 'read-control' | 'clear';
  /** The step to start or to end. */
  step: Step | null;
  /** Subject id of the control to read. */
  subject: string | null;
  /** The mark from which its times count: the step's own start, or the end of the step before; null when nothing sets a time. */
  since: Stamp | null;
  /** Earliest, aimed at and latest, whole ms after `since`; null where nothing sets one. */
  minMs: number | null;
  targetMs: number | null;
  maxMs: number | null;
  /** The same three as instants. */
  from: Instant | null;
  target: Instant | null;
  by: Instant | null;
  /** When the accepted plan has it; null where none has. */
  planned: Instant | null;
}

/** Where an action stands in its times: before its minimum, free to be done, soon too late, too late. */
export type Phase = 'early' | 'open' | 'closing' | 'over';

/** What the bench tells by sound when it comes: the minimum, the target, the closing warning, the end of the window. */
export type Moment = 'from' | 'target' | 'closing' | 'over';

const URGENCY: Record<Phase, number> = { closing: 0, over: 1, early: 2, open: 2 };

const LONGEST_WARNING_MS = 60_000;
const SHORTEST_WARNING_MS = 5_000;

/**
 * How long ago a mark was, in ms, as a timer shows it: by the steady clock when both readings are of one clock session,
 * so that no change of the wall clock moves it, else by the instants; negative for a mark that lies ahead.
 * `passedMs({at: '2026-11-25T09:00:00.000Z', uncertaintyMs: 5}, {at: '2026-11-25T09:00:20.000Z', uncertaintyMs: 5})` is 20000.
 */
export function passedMs(since: Stamp, now: Stamp): number {
  if (ofOneClock(since, now)) return Number(now.monotonicMs) - Number(since.monotonicMs);
  return epochMs(now.at) - epochMs(since.at);
}

/**
 * What is to be done over all runs: first what is closing and can still be saved, then what is late already, then the
 * rest; within each the window that ends soonest, then by target, then by the runs' starts. Every run that is not cleared
 * has at least one: a step left running goes before the run's next one, controls are read when the steps are done, then
 * the station is cleared (common practice, no source).
 */
export function nextActions(runs: readonly BenchRun[], now: Stamp): NextAction[] {
  const rank = new Map(runs.map(({ id, startedAt }) => [id, startedAt]));
  const left = (action: NextAction, ms: number | null): number =>
    ms === null || action.since === null ? Number.POSITIVE_INFINITY : ms - passedMs(action.since, now);
  return runs
    .flatMap(actionsOf)
    .map((action) => ({
      action,
      urgency: URGENCY[action.since === null ? 'open' : phaseAt(action, passedMs(action.since, now))],
      by: left(action, action.maxMs),
      target: left(action, action.targetMs),
    }))
    .sort(
      (a, b) =>
        compare(a.urgency, b.urgency) ||
        compare(a.by, b.by) ||
        compare(a.target, b.target) ||
        compare(rank.get(a.action.runId) ?? '', rank.get(b.action.runId) ?? ''),
    )
    .map(({ action }) => action);
}

/** What is to be done for one run now, at the times of its plan where they may be kept; several steps may be running at once. */
export function actionsOf(run: BenchRun): NextAction[] {
  const { plan = [] } = run;
  return unplanned(run).map((action) => asPlanned(action, plan));
}

function unplanned({ id, subjects, state }: BenchRun): NextAction[] {
  if (state.cleared) return [];
  if (state.abandoned) return [untimed(id, 'clear')];
  if (state.running.length > 0) return state.running.flatMap((running) => endOf(id, running));
  if (state.next) return [startOf(id, state.next, state)];
  const readings = controlReadings(state.events);
  const unread = subjects.find((subject) => subject.role === 'control' && !readings.has(subject.subjectId));
  return [unread ? { ...untimed(id, 'read-control'), subject: unread.subjectId } : untimed(id, 'clear')];
}

/**
 * How long before the end of a window its closing is warned, in ms: half of what lies between target and end, at least
 * 5 s and at most 60 s, never more than the window (common practice, no source). For 15, 20 and 30 s it is 5000.
 */
export function warningMs({
  targetMs: target,
  maxMs: max,
  minMs: min,
}: Pick<NextAction, 'minMs' | 'targetMs' | 'maxMs'>): number {
  if (max === null) return 0;
  const half = (max - Math.min(target ?? 0, max)) / 2;
  return Math.min(Math.max(half, SHORTEST_WARNING_MS), LONGEST_WARNING_MS, max - (min ?? 0));
}

/** Where an action stands once so many ms have passed since its mark; the ends of a window belong to it. */
export function phaseAt(action: Pick<NextAction, 'minMs' | 'targetMs' | 'maxMs'>, passed: number): Phase {
  if (action.maxMs !== null && passed > action.maxMs) return 'over';
  if (action.minMs !== null && passed < action.minMs) return 'early';
  if (action.maxMs !== null && passed >= action.maxMs - warningMs(action)) return 'closing';
  return 'open';
}

/** The moments that came after `before` and not after `passed`, both in ms since the action's mark, in order of time. */
export function momentsBetween(action: NextAction, before: number, passed: number): Moment[] {
  const { minMs, maxMs } = action;
  const moments: [Moment, number | null][] = [
    ['from', minMs !== null && minMs > 0 && minMs !== action.targetMs ? minMs : null],
    ['target', action.kind === 'end' ? action.targetMs : null],
    ['closing', maxMs === null ? null : maxMs - warningMs(action)],
    ['over', maxMs === null ? null : maxMs + 1],
  ];
  return moments
    .filter((moment): moment is [Moment, number] => moment[1] !== null && moment[1] > before && moment[1] <= passed)
    .sort(([, a], [, b]) => a - b)
    .map(([moment]) => moment);
}

/** Which time of a step: its least, its target, its most; the target where it has no limit. */
export type StepTime = 'least' | 'target' | 'most';

/**
 * About how long a run still takes, in ms: what is left of the times of running steps and the times of those to come,
 * optional ones left out; 0 once all are over. With the least and the most of each step it lies between the two, but for the
 * pauses between steps. For the question "how long still?", not for any verdict.
 */
export function leftMs(
  { steps, running, next, abandoned, cleared }: RunState,
  now: Stamp,
  which: StepTime = 'target',
): number {
  if (abandoned || cleared) return 0;
  const timeOf = (step: Step): number => {
    const { minMs, maxMs } = stepWindow(step);
    return { least: minMs, target: null, most: maxMs }[which] ?? targetMs(step);
  };
  const ofRunning = running.map(({ step, performances }) => {
    const started = performances.at(-1)?.started.stamp;
    return Math.max(timeOf(step) - (started ? passedMs(started, now) : 0), 0);
  });
  const toCome = next === null ? [] : steps.slice(next.index).filter(({ step }) => !step.optional);
  return Math.max(0, ...ofRunning) + toCome.reduce((sum, { step }) => sum + timeOf(step), 0);
}

/**
 * An action that aims at the time of the plan instead of the protocol's target. The plan gives way to whatever the action
 * must keep: outside of its window, and where an eye decides, the action keeps its own aim and the plan's time only
 * stands beside it.
 */
function asPlanned(action: NextAction, plan: readonly PlannedStart[]): NextAction {
  const { kind, step, since, from, by } = action;
  if (!step || (kind !== 'start' && kind !== 'end')) return action;
  const planned = plannedAt(plan, step.id, kind);
  if (planned === null) return action;
  const kept =
    since !== null &&
    planned >= (from ?? since.at) &&
    (by === null || planned <= by) &&
    !(kind === 'end' && step.end === 'eye');
  if (!kept) return { ...action, planned };
  return { ...action, planned, target: planned, targetMs: epochMs(planned) - epochMs(since.at) };
}

function endOf(runId: string, { step, performances }: StepState): NextAction[] {
  const started = performances.at(-1)?.started.stamp;
  if (!started) return [];
  const { minMs, maxMs } = stepWindow(step);
  return [timed({ runId, kind: 'end', step, since: started, minMs, targetMs: targetMs(step), maxMs })];
}

function startOf(runId: string, { step, index }: StepState, { steps }: RunState): NextAction {
  const before = steps.slice(0, index).findLast(({ performances }) => performances.length > 0);
  const ended = before?.performances.at(-1)?.ended?.stamp;
  const maxMs = gapWindow(step)?.maxMs ?? null;
  if (!ended) return { ...untimed(runId, 'start'), step };
  return timed({ runId, kind: 'start', step, since: ended, minMs: null, targetMs: maxMs === null ? null : 0, maxMs });
}

function untimed(runId: string, kind: NextAction['kind']): NextAction {
  const none = { minMs: null, targetMs: null, maxMs: null, from: null, target: null, by: null, planned: null };
  return { runId, kind, step: null, subject: null, since: null, ...none };
}

function timed(
  action: Pick<NextAction, 'runId' | 'kind' | 'step' | 'minMs' | 'targetMs' | 'maxMs'> & { since: Stamp },
): NextAction {
  const at = (ms: number | null): Instant | null => (ms === null ? null : plusMs(action.since.at, ms));
  const { minMs, targetMs: aim, maxMs } = action;
  return { ...action, subject: null, from: at(minMs), target: at(aim), by: at(maxMs), planned: null };
}

/** Infinities are equal here; their difference would be no number. */
function compare<T extends string | number>(a: T, b: T): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
