import type { Window } from '../time/duration.js';
import type { Step, TimeUnit } from './protocol.js';

/** Milliseconds of each unit of time that a protocol may use (UCUM: ms, s, min, h, d). */
export const UNIT_MS: Record<TimeUnit, number> = { ms: 1, s: 1000, min: 60_000, h: 3_600_000, d: 86_400_000 };

/** The window that a step's duration must lie in, in whole milliseconds. */
export function stepWindow({ time }: Step): Window {
  return { minMs: inMs(time.min, time.unit), maxMs: inMs(time.max, time.unit) };
}

/** A step's target duration in whole milliseconds. */
export function targetMs({ time }: Step): number {
  return Math.round(time.target * UNIT_MS[time.unit]);
}

/** The limit on the time before a step, or null when there is none. */
export function gapWindow({ gap }: Step): Window | null {
  return gap ? { minMs: null, maxMs: inMs(gap.max, gap.unit) } : null;
}

function inMs(value: number | undefined, unit: TimeUnit): number | null {
  return value === undefined ? null : Math.round(value * UNIT_MS[unit]);
}
