import { type Instant, plusMs } from '../time/instant.js';

/** Wrong guesses that cost nothing: typing errors. */
const FREE = 3;
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 15 * 60 * 1000;

/**
 * Milliseconds that an account refuses to be tried after so many failures in a row: none for the first two, then 1 s,
 * doubling to at most 15 min (NIST SP 800-63B-3 section 5.2.2, from memory: wait longer with each failure). `waitAfter(5)` is 4000.
 */
export function waitAfter(failures: number): number {
  if (failures < FREE) return 0;
  return Math.min(FIRST_WAIT_MS * 2 ** (failures - FREE), LONGEST_WAIT_MS);
}

/** The instant before which an account is not to be tried again after a failure at `now`; null when it may be at once. */
export function lockedUntil(failures: number, now: Instant): Instant | null {
  const wait = waitAfter(failures);
  return wait === 0 ? null : plusMs(now, wait);
}
