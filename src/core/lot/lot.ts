import type { Instant } from '../time/instant.js';

/** Where a lot stands; one without any decision is quarantined. */
export const LOT_STANDINGS = ['quarantined', 'accepted', 'rejected', 'recalled'] as const;
export type LotStanding = (typeof LOT_STANDINGS)[number];

export const CONTAINER_STATES = ['opened', 'emptied', 'discarded'] as const;
export type ContainerState = (typeof CONTAINER_STATES)[number];

/** What sets a limit; that of a component names which, counted from 1, as in 'component 2: expiry'. */
export type LimitCause = 'expiry' | 'opened' | 'prepared' | `component ${string}`;

/** An instant from which something may no longer be used, and why. */
export interface Limit {
  by: LimitCause;
  until: Instant;
}
