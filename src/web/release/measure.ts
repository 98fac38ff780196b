import {
  type DurationVerdict,
  elapsed,
  type Elapsed,
  judgeDuration,
  type Stamp,
  type Window,
} from '../../core/time/duration.js';
import { Refusal } from '../../core/refusal.js';
import { DRIFT_PPM } from '../parts/clock.js';

/** 'torn' is an end that lies before its start by one and the same clock: no duration at all. */
export type TimeVerdict = DurationVerdict | 'torn';

/** A duration as it is drawn; the gate on the server decides what it means. */
export interface Measured {
  elapsed: Elapsed | null;
  verdict: TimeVerdict;
}

/** How long it took between two marks and how that lies in a window, by the core's own rules. */
export function measure(from: Stamp, to: Stamp, window: Window): Measured {
  try {
    const took = elapsed(from, to, DRIFT_PPM);
    return { elapsed: took, verdict: judgeDuration(took, window) };
  } catch (error) {
    if (error instanceof Refusal) return { elapsed: null, verdict: 'torn' };
    throw error;
  }
}
