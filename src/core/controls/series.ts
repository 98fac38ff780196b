import type { Instant } from '../time/instant.js';

/** Where limits come from. */
export const LIMITS_SOURCES = ['first points', 'cumulative', 'new lot', 'after an accepted change'] as const;
export type LimitsSource = (typeof LIMITS_SOURCES)[number];

/** The values that limits were computed from, so that they can be computed again. */
export interface LimitsPoints {
  seriesId: string;
  from: Instant;
  to: Instant;
  /** Values recorded after this number were not among them. */
  upToSeq: number;
  /** Ids of values left out, for a cause that was found. */
  excluded: string[];
}

/** What a mark on a chart tells of. */
export const MARKS = ['corrective action', 'lot change', 'accepted change', 'service', 'remark'] as const;
export type MarkKind = (typeof MARKS)[number];

/** After these the rules look no further back. */
export const RESETTING: readonly MarkKind[] = ['corrective action', 'lot change', 'accepted change', 'service'];
