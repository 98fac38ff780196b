import { Refusal } from '../refusal.js';
import { epochMs, type Instant } from './instant.js';

/** When something happened, and by which clock. */
export interface Stamp {
  at: Instant;
  /** Half width of the interval around `at` that covers the true instant, whole ms; null when nothing bounds it. */
  uncertaintyMs: number | null;
  /** A new one after each reload, sleep or jump of the device's clock. */
  clockSession?: string;
  /** Reading of the device's steady clock, whole ms; comparable only within one clock session. */
  monotonicMs?: number | null;
  /**
   * Half width of the interval around the reading of the steady clock, beyond its drift, whole ms: a stopwatch is stopped by
   * a hand. Absent where a program reads the clock.
   */
  readingUncertaintyMs?: number;
}

/** How long something may take; both ends belong to it, and null leaves an end open. */
export interface Window {
  minMs: number | null;
  maxMs: number | null;
}

/** A measured duration and the half width of the interval that covers the true one; null when nothing bounds it. */
export interface Elapsed {
  durationMs: number;
  uncertaintyMs: number | null;
}

export type DurationVerdict = 'within' | 'short' | 'long' | 'indeterminate';

/** Whether both stamps carry readings of one steady clock, so that its offset from true time cancels. */
export function ofOneClock(start: Stamp, end: Stamp): boolean {
  return (
    start.clockSession !== undefined &&
    start.clockSession === end.clockSession &&
    typeof start.monotonicMs === 'number' &&
    typeof end.monotonicMs === 'number'
  );
}

/**
 * How long it took from `start` to `end`, in ms: the monotonic difference, with the drift and what reading the clock added
 * allowed for, when both are of one clock, else the difference of the instants with both uncertainties added (worst case,
 * JCGM 106:2012). Refuses an end that must lie before the start; one that only seems to, within the uncertainty of two
 * clocks, comes back as measured, negative. `elapsed({at: '2026-03-29T00:00:00.000Z', uncertaintyMs: 125},
 * {at: '2026-03-29T00:00:20.250Z', uncertaintyMs: 125}, 100)` is `{durationMs: 20250, uncertaintyMs: 250}`.
 */
export function elapsed(start: Stamp, end: Stamp, driftPpm: number): Elapsed {
  const measured = ofOneClock(start, end) ? byOneClock(start, end, driftPpm) : byInstants(start, end);
  coverage(measured);
  return measured;
}

/**
 * Whether a duration conforms to a window by the guard-band rule of JCGM 106:2012: only if the whole coverage interval
 * lies inside, ends included; short or long only if it lies wholly outside; else undecided. Refuses a minimum above the
 * maximum. `judgeDuration({durationMs: 20249, uncertaintyMs: 250}, {minMs: 20000, maxMs: 60000})` is 'indeterminate'.
 */
export function judgeDuration(measured: Elapsed, window: Window): DurationVerdict {
  const min = window.minMs ?? 0;
  const max = window.maxMs ?? Number.POSITIVE_INFINITY;
  if (min > max) {
    throw refused(
      'min-above-max',
      `the window's minimum, ${min} ms, is above its maximum, ${max} ms; swap or mend them`,
    );
  }
  const { shortest, longest } = coverage(measured);
  if (shortest >= min && longest <= max) return 'within';
  if (longest < min) return 'short';
  if (shortest > max) return 'long';
  return 'indeterminate';
}

/** The four readings of one exchange with the server, whole ms: 1 and 4 by the device's clock, 2 and 3 by the server's. */
export interface ClockExchange {
  /** Request sent. */
  t1: number;
  /** Request received. */
  t2: number;
  /** Answer sent. */
  t3: number;
  /** Answer received. */
  t4: number;
}

export interface ClockOffset {
  /** Server minus device: what to add to the device's reading to get the server's time. */
  offsetMs: number;
  roundTripMs: number;
  /** Half width of the interval that covers the true offset. */
  uncertaintyMs: number;
}

/** How far a reading cut to whole milliseconds may lie below the instant that it stands for. */
const READING_MS = 1;

/**
 * The server's clock against the device's from one exchange, whole ms: offset ((t2-t1)+(t3-t4))/2, true to within half
 * the round trip (t4-t1)-(t3-t2) and the resolution of the readings (RFC 5905 section 8). Refuses readings out of order.
 * `clockOffset({t1: 1000, t2: 5010, t3: 5012, t4: 1022})` is `{offsetMs: 4000, roundTripMs: 20, uncertaintyMs: 11}`.
 */
export function clockOffset({ t1, t2, t3, t4 }: ClockExchange): ClockOffset {
  for (const [name, reading] of Object.entries({ t1, t2, t3, t4 })) {
    if (!Number.isSafeInteger(reading)) throw refused('bad-reading', `${name} is ${reading}; give whole milliseconds`);
  }
  const roundTrip = t4 - t1 - (t3 - t2);
  // Cutting to whole milliseconds can take up to two from a round trip; less than that cannot be.
  if (t4 < t1 || t3 < t2 || roundTrip <= -2 * READING_MS) {
    throw refused(
      'bad-reading',
      `the readings ${t1}, ${t2}, ${t3}, ${t4} do not belong to one exchange: each clock must run forward and the device must wait at least as long as the server works; measure again`,
    );
  }
  const roundTripMs = Math.max(roundTrip, 0);
  const offset = (t2 - t1 + (t3 - t4)) / 2;
  const offsetMs = Math.round(offset);
  return {
    offsetMs,
    roundTripMs,
    uncertaintyMs: Math.ceil(roundTripMs / 2 + READING_MS + Math.abs(offset - offsetMs)),
  };
}

function byOneClock(start: Stamp, end: Stamp, driftPpm: number): Elapsed {
  const durationMs = wholeMs('monotonic reading', end.monotonicMs) - wholeMs('monotonic reading', start.monotonicMs);
  if (!(driftPpm >= 0 && Number.isFinite(driftPpm))) {
    throw refused('bad-reading', `the drift is ${driftPpm} ppm; give a number of at least 0`);
  }
  if (durationMs < 0) throw endBeforeStart(durationMs, 'on the same clock');
  const read = [start, end].reduce(
    (sum, { readingUncertaintyMs = 0 }) => sum + wholeMs('uncertainty', readingUncertaintyMs),
    0,
  );
  return { durationMs, uncertaintyMs: Math.ceil((durationMs * driftPpm) / 1e6) + read };
}

function byInstants(start: Stamp, end: Stamp): Elapsed {
  return {
    durationMs: epochMs(end.at) - epochMs(start.at),
    uncertaintyMs:
      start.uncertaintyMs === null || end.uncertaintyMs === null
        ? null
        : wholeMs('uncertainty', start.uncertaintyMs) + wholeMs('uncertainty', end.uncertaintyMs),
  };
}

/** Every duration that the measurement leaves possible; none is negative. */
function coverage({ durationMs, uncertaintyMs }: Elapsed): { shortest: number; longest: number } {
  const half = uncertaintyMs ?? Number.POSITIVE_INFINITY;
  const longest = durationMs + half;
  if (longest < 0) throw endBeforeStart(durationMs, `with an uncertainty of ${half} ms`);
  return { shortest: Math.max(durationMs - half, 0), longest };
}

function wholeMs(what: string, value: number | null | undefined): number {
  if (!Number.isSafeInteger(value) || Number(value) < 0) {
    throw refused('bad-reading', `the ${what} is ${value}; give whole milliseconds, at least 0`);
  }
  return Number(value);
}

function endBeforeStart(durationMs: number, how: string): Refusal {
  return refused('end-before-start', `the end lies ${-durationMs} ms before the start, ${how}; correct one of them`);
}

function refused(code: string, message: string): Refusal {
  return new Refusal('invalid', code, message);
}
