import type { Step } from '../protocol/protocol.js';
import { gapWindow, stepWindow, targetMs } from '../protocol/windows.js';
import type { Stamp } from '../time/duration.js';
import { epochMs } from '../time/instant.js';
import { type BenchRun, passedMs } from './next.js';
import { plannedAt } from './planned.js';

/** A moment to come that wants hands or an eye, if every step keeps its target. */
export interface MomentAhead {
  step: Step;
  kind: 'start' | 'end';
  /** It is decided by eye. */
  byEye: boolean;
  /** How far ahead it begins, ms; 0 for what is due or late. */
  inMs: number;
  /** How long it keeps hands busy, ms. */
  handsMs: number;
  /** Between when it may be, ms ahead, if what comes before it keeps its time; null where nothing limits it. */
  notBeforeMs: number | null;
  notAfterMs: number | null;
}

/** A moment of one of several runs. */
export type MomentOfRun = MomentAhead & { runId: string };

/** Two moments of different runs that one pair of hands cannot both do in time. */
export interface Clash<Moment extends MomentOfRun = MomentOfRun> {
  first: Moment;
  second: Moment;
}

/**
 * The moments that a run still has before it, in order, if running steps end at their targets (now, when they are past
 * them) and each next one follows at once; optional steps are left out. A plan's later times are kept as far as windows
 * and gaps allow. For drawing and warning, not for any verdict.
 */
export function momentsAhead({ state, plan = [] }: Pick<BenchRun, 'state' | 'plan'>, now: Stamp): MomentAhead[] {
  const { steps, running, next, abandoned, cleared } = state;
  if (abandoned || cleared) return [];
  const plannedIn: PlannedIn = (step, kind) => {
    const at = plannedAt(plan, step.id, kind);
    return at === null ? null : epochMs(at) - epochMs(now.at);
  };
  const ends = running.map(({ step, performances }): MomentAhead => {
    const started = performances.at(-1)?.started.stamp;
    const passed = started ? passedMs(started, now) : 0;
    const own = Math.max(targetMs(step) - passed, 0);
    const window = endWindow(step, -passed);
    return endOf(step, noSooner(own, plannedIn(step, 'end'), window.notAfterMs), window);
  });
  const from = Math.max(0, ...ends.map(({ inMs }) => inMs));
  const toCome = next === null ? [] : steps.slice(next.index).map(({ step }) => step);
  return [...ends.sort((a, b) => a.inMs - b.inMs), ...momentsOf(toCome, from, plannedIn)];
}

/** In how many ms a plan has a moment; null where none has. */
type PlannedIn = (step: Step, kind: 'start' | 'end') => number | null;

/**
 * The moments of steps that follow one another from `fromMs` on, each at its target or a later time of a plan; optional
 * ones are left out.
 */
export function momentsOf(steps: readonly Step[], fromMs = 0, plannedIn: PlannedIn = () => null): MomentAhead[] {
  let at = fromMs;
  return steps.flatMap((step): MomentAhead[] => {
    if (step.optional) return [];
    const gap = gapWindow(step)?.maxMs ?? null;
    const until = gap === null ? null : at + gap;
    const free = at;
    at = noSooner(at, plannedIn(step, 'start'), until);
    const start = { inMs: at, handsMs: step.handsOn.start * 1000, notBeforeMs: free, notAfterMs: until };
    const window = endWindow(step, at);
    at = noSooner(at + targetMs(step), plannedIn(step, 'end'), window.notAfterMs);
    return [{ step, kind: 'start', byEye: false, ...start }, endOf(step, at, window)];
  });
}

/** A plan's time, but never sooner than what comes by itself and never later than what is allowed. */
function noSooner(own: number, planned: number | null, latest: number | null): number {
  if (planned === null) return own;
  return Math.max(own, Math.min(planned, latest ?? planned));
}

/**
 * The moments of different runs that one pair of hands cannot both do: hands are busy with one when the other begins, or
 * both want an eye within `eyesApartMs`. Soonest first; `moments` in any order.
 */
export function clashes<Moment extends MomentOfRun>(moments: readonly Moment[], eyesApartMs: number): Clash<Moment>[] {
  const inOrder = [...moments].sort((a, b) => a.inMs - b.inMs);
  const found: Clash<Moment>[] = [];
  for (const [n, first] of inOrder.entries()) {
    // What begins after this is in nobody's way: with many runs nearly everything does.
    const until = first.inMs + Math.max(first.handsMs, first.byEye ? eyesApartMs : 0);
    for (let k = n + 1; k < inOrder.length; k++) {
      const second = inOrder[k];
      if (!second || second.inMs > until) break;
      if (second.runId !== first.runId && collides(first, second, eyesApartMs)) found.push({ first, second });
    }
  }
  return found;
}

/**
 * The times in which something clashes, in ms ahead and in order: each from where the first of its moments begins to where
 * hands are free again. Those that touch are one, so that they are few however many runs there are.
 */
export function clashSpans(found: readonly Clash[]): { fromMs: number; toMs: number }[] {
  const spans: { fromMs: number; toMs: number }[] = [];
  for (const { first, second } of [...found].sort((a, b) => a.first.inMs - b.first.inMs)) {
    const toMs = Math.max(first.inMs + first.handsMs, second.inMs + second.handsMs);
    const last = spans.at(-1);
    if (last && first.inMs <= last.toMs) last.toMs = Math.max(last.toMs, toMs);
    else spans.push({ fromMs: first.inMs, toMs });
  }
  return spans;
}

/** `second` begins no sooner than `first`. */
function collides(first: MomentAhead, second: MomentAhead, eyesApartMs: number): boolean {
  const apart = second.inMs - first.inMs;
  return apart < first.handsMs || (first.byEye && second.byEye && apart <= eyesApartMs);
}

/** Between when a step that starts at `fromMs` may end. */
function endWindow(step: Step, fromMs: number): Pick<MomentAhead, 'notBeforeMs' | 'notAfterMs'> {
  const { minMs, maxMs } = stepWindow(step);
  return { notBeforeMs: minMs === null ? null : fromMs + minMs, notAfterMs: maxMs === null ? null : fromMs + maxMs };
}

function endOf(step: Step, inMs: number, window: Pick<MomentAhead, 'notBeforeMs' | 'notAfterMs'>): MomentAhead {
  return { step, kind: 'end', byEye: step.end === 'eye', inMs, handsMs: step.handsOn.end * 1000, ...window };
}
