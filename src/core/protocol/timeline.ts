import type { Protocol, Step } from './protocol.js';
import { gapWindow, stepWindow, targetMs } from './windows.js';

/** Where one step lies when every step takes its target and follows the one before at once; milliseconds from the start. */
export interface StepSpan {
  id: string;
  fromMs: number;
  toMs: number;
  /** Earliest and latest end that the window allows, from the same start; null where it has no such limit. */
  earliestMs: number | null;
  latestMs: number | null;
  /** Until when hands are busy at its start, and from when at its end. */
  handsUntilMs: number;
  handsFromMs: number;
  /** The longest gap before it, null for none asked. */
  gapMs: number | null;
}

/** A protocol laid out on one axis of time, in milliseconds. */
export interface Timeline {
  steps: StepSpan[];
  /** With every step at its target, at its least, and at its most; the most is null when a step has no limit. */
  targetMs: number;
  leastMs: number;
  mostMs: number | null;
  /** How long hands are busy in all. */
  handsOnMs: number;
}

/**
 * Lays out the steps of a protocol one after the other. A step without a least may take no time, as at the gate; hands
 * are busy no longer than the step lasts. For steps of 20 s (15 to 30) and 60 s (no limits) it answers targetMs 80000,
 * leastMs 15000, mostMs null.
 */
export function timelineOf({ steps }: Pick<Protocol, 'steps'>): Timeline {
  const timeline: Timeline = { steps: [], targetMs: 0, leastMs: 0, mostMs: 0, handsOnMs: 0 };
  for (const step of steps) {
    const span = spanOf(step, timeline.targetMs);
    const { minMs, maxMs } = stepWindow(step);
    timeline.steps.push(span);
    timeline.targetMs = span.toMs;
    timeline.leastMs += step.optional ? 0 : (minMs ?? 0);
    timeline.mostMs = timeline.mostMs === null || maxMs === null ? null : timeline.mostMs + maxMs;
    timeline.handsOnMs += span.handsUntilMs - span.fromMs + (span.toMs - span.handsFromMs);
  }
  return timeline;
}

function spanOf(step: Step, fromMs: number): StepSpan {
  const { minMs, maxMs } = stepWindow(step);
  const lasts = targetMs(step);
  const handsUntilMs = fromMs + Math.min(step.handsOn.start * 1000, lasts);
  return {
    id: step.id,
    fromMs,
    toMs: fromMs + lasts,
    earliestMs: minMs === null ? null : fromMs + minMs,
    latestMs: maxMs === null ? null : fromMs + maxMs,
    handsUntilMs,
    handsFromMs: Math.max(fromMs + lasts - step.handsOn.end * 1000, handsUntilMs),
    gapMs: gapWindow(step)?.maxMs ?? null,
  };
}
