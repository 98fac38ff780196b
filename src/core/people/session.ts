import { epochMs, type Instant, instantOf, plusMs } from '../time/instant.js';

/** How long a session lives without a request: longer than the longest timed step at which nobody touches the bench. */
export const SESSION_IDLE_MS = 2 * 60 * 60 * 1000;

/** How long a session lives at most: one long shift. */
export const SESSION_LONGEST_MS = 12 * 60 * 60 * 1000;

/** When a session ends that was begun at `createdAt` and used at `now`. */
export function sessionEnd(createdAt: Instant, now: Instant): Instant {
  return instantOf(Math.min(epochMs(createdAt) + SESSION_LONGEST_MS, epochMs(now) + SESSION_IDLE_MS));
}

/** How long a set-up link works. */
export const SETUP_LINK_MS = 24 * 60 * 60 * 1000;

/** When a set-up link made at `now` stops working. */
export function setupLinkEnd(now: Instant): Instant {
  return plusMs(now, SETUP_LINK_MS);
}
