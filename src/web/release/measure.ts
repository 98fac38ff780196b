import type { Stamp, Window } from '../../core/time/duration.js';
import { type Measured, measured } from '../../core/time/measured.js';
import { DRIFT_PPM } from '../parts/clock.js';

export type { Measured, TimeVerdict } from '../../core/time/measured.js';

/** How long it took between two marks and how that lies in a window, by the core's own rules. */
export function measure(from: Stamp, to: Stamp, window: Window): Measured {
  return measured(from, to, window, DRIFT_PPM);
}
