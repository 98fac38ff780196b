import { Refusal } from '../refusal.js';

const DAY_MS = 86_400_000;

/** The local day that lies `days` after another. `plusDays('2026-12-31', 1)` is '2027-01-01'. */
export function plusDays(day: string, days: number): string {
  return new Date(startMs(day) + days * DAY_MS).toISOString().slice(0, 10);
}

/** Whole days from one local day to another. `daysBetween('2026-11-30', '2026-12-02')` is 2. */
export function daysBetween(from: string, to: string): number {
  return (startMs(to) - startMs(from)) / DAY_MS;
}

/**
 * Whether the last day of a printed day or month lies before a local day; false for what is neither.
 * `isPrintedPast('2026-11', '2026-11-30')` is false.
 */
export function isPrintedPast(expiry: string, today: string): boolean {
  const printed = expiry.trim();
  return /^\d{4}-\d\d(-\d\d)?$/.test(printed) && printed < today.slice(0, printed.length);
}

/** Refuses what is no day of the calendar, which JavaScript would take for another one. */
function startMs(day: string): number {
  const ms = /^\d{4}-\d\d-\d\d$/.test(day) ? Date.parse(day) : Number.NaN;
  if (Number.isNaN(ms) || new Date(ms).toISOString().slice(0, 10) !== day) {
    throw new Refusal('invalid', 'bad-date', `"${day}" is no day of the calendar; write it like 2026-11-30`);
  }
  return ms;
}
