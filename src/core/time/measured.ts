import { Refusal } from '../refusal.js';
import { type DurationVerdict, elapsed, type Elapsed, judgeDuration, type Stamp, type Window } from './duration.js';

/** 'torn' is an end that lies before its start by one and the same clock: no duration at all. */
export type TimeVerdict = DurationVerdict | 'torn';

/** A duration as it is shown; the gate decides what it means. */
export interface Measured {
  elapsed: Elapsed | null;
  verdict: TimeVerdict;
}

/**
 * How long it took between two stamps and how that lies in a window, as `elapsed` and `judgeDuration` say, ms; an end that
 * must lie before its start comes back as 'torn'. Twenty seconds on one clock in a window of 10 s to 30 s are 'within'.
 */
export function measured(from: Stamp, to: Stamp, window: Window, driftPpm: number): Measured {
  try {
    const took = elapsed(from, to, driftPpm);
    return { elapsed: took, verdict: judgeDuration(took, window) };
  } catch (error) {
    if (error instanceof Refusal) return { elapsed: null, verdict: 'torn' };
    throw error;
  }
}
