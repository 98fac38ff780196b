import type { Stamp } from '../time/duration.js';
import type { Instant } from '../time/instant.js';
import type { ContainerState, Limit, LotStanding } from './lot.js';
import { type UnusableReason, unusableReasons } from './validity.js';

/** All that is known about one container and its lot, up to some record number. */
export interface ContainerFacts {
  id: string;
  /** Text of our own label on it. */
  label: string;
  /** Code of the reagent that it holds. */
  reagent: string;
  /** Codes of other reagents that the catalogue lets it stand in for; absent when there are none. */
  acceptedAs?: string[];
  lot: {
    id: string;
    number: string;
    /** Decisions on the lot, earliest first; none means quarantined. */
    standing: { at: Instant; standing: LotStanding; seq: number }[];
  };
  /** Changes of its own state, earliest first; none means unopened. */
  states: { at: Instant; state: ContainerState }[];
  /** The lot's limits and, once opened, the end of its opened life. */
  limits: Limit[];
}

/** Whether a container holds what a step asks for, or what the catalogue accepts instead. */
export function holds(container: ContainerFacts, reagent: string): boolean {
  return container.reagent === reagent || (container.acceptedAs?.includes(reagent) ?? false);
}

/**
 * Every reason why a container may not be used for a reagent at an instant, empty when it may; names it by its label.
 * `forPatients` is false for a run in which a lot may be used to accept it.
 */
export function whyUnusable(
  container: ContainerFacts,
  reagent: string,
  at: Stamp,
  forPatients: boolean,
): UnusableReason[] {
  return unusableReasons(
    {
      containerId: container.label,
      reagent: container.reagent,
      wanted: holds(container, reagent) ? [container.reagent] : [reagent],
      lotStanding: container.lot.standing,
      condition: container.states,
      limits: container.limits,
      forPatients,
    },
    at,
  );
}
