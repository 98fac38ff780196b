import type { BathFacts } from './bath.js';
import type { Stamp } from '../time/duration.js';
import type { Instant } from '../time/instant.js';
import type { ContainerHold, ContainerState, IntendedUse, Limit, LotStanding } from './lot.js';
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
    /** As printed; absent when the print says nothing. */
    intendedUse?: IntendedUse;
    /** Instants of the decisions that rest on a verification record, which lets a research product be used. */
    verifiedAt?: Instant[];
    /** The kit that it is a part of, and that kit's lot. */
    kit?: { name: string; lot: string };
  };
  /** Changes of its own state, earliest first; none means unopened. */
  states: { at: Instant; state: ContainerState }[];
  /** The lot's limits, once opened the end of its opened life, and those of what topped a bath up. */
  limits: Limit[];
  /** What kept it from being used, earliest first; absent when nothing ever did. */
  holds?: ContainerHold[];
  /** How a bath is used up; absent for what is no bath. */
  bath?: BathFacts;
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
      ...(container.holds && { holds: container.holds }),
      ...(container.lot.intendedUse && { intendedUse: container.lot.intendedUse }),
      ...(container.lot.verifiedAt && { verifiedAt: container.lot.verifiedAt }),
      ...(container.bath && { bath: container.bath }),
      forPatients,
    },
    at,
  );
}
