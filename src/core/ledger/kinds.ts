/**
 * Why stock moved: received from a supplier, made here, taken into something made here, used by a run or by hand, moved
 * to another place, adjusted after a count, discarded.
 */
export const MOVEMENT_KINDS = ['received', 'made', 'taken', 'used', 'moved', 'adjusted', 'discarded'] as const;
export type MovementKind = (typeof MOVEMENT_KINDS)[number];

/** What a person books by hand; the rest is booked by the act that it belongs to. */
export const HAND_BOOKED = ['used', 'discarded', 'adjusted'] as const satisfies readonly MovementKind[];
export type HandBooked = (typeof HAND_BOOKED)[number];
