/**
 * Bench planning with limited waits, one-shot: hoist scheduling after Phillips and Unger 1976 (AIIE Transactions
 * 8:219-225) for a finite batch of different runs. All times are whole seconds on one axis; intervals are half-open, so
 * that one thing may begin in the second in which another ends.
 */
export interface PlanProblem {
  runs: PlanRun[];
  /** The pairs of hands; a hands-on moment needs one of them from its start to its end. */
  hands: Hands[];
  /** Errands that take one pair of hands, whichever, from their start to their end. */
  busy?: Interval[];
  stations?: Station[];
  /** Nothing that has not begun can start before; 0 when absent. */
  nowSec?: number;
  /** When everything has to be over. */
  horizonSec?: number;
  /** Plan for the earliest start of this run first; the end of the last run comes after it. */
  earliestStartOf?: string;
}

export interface PlanRun {
  id: string;
  steps: PlanStep[];
  earliestSec?: number;
  /** The first step starts no later. */
  latestStartSec?: number;
  /** The last hands-on moment ends no later. */
  deadlineSec?: number;
  /** Runs of a lower number end as early as they can before those of a higher one are looked at; 0 when absent. */
  priority?: number;
  /** Actual starts of the steps that have begun, from the first on: facts, which no limit judges any more. */
  begunSec?: number[];
}

export interface PlanStep {
  /** How long hands are busy from the start of the step. */
  handsOnSec: number;
  /** From the start of this step to the start of the next; without meaning on the last step. */
  minSec: number;
  maxSec: number | null;
  /** What the step would best take; `minSec` when absent. */
  targetSec?: number;
  /** Held from the start of the step until the hands-on moment of the next step has ended. */
  station?: string;
}

export interface Hands {
  id: string;
  away: Interval[];
}

export interface Interval {
  fromSec: number;
  /** Null: does not end. */
  toSec: number | null;
}

export interface Station {
  id: string;
  /** How many runs it takes at a time. */
  capacity: number;
}

/** When every step of every run starts and whose hands do it. */
export type Schedule = PlannedRun[];

export interface PlannedRun {
  run: string;
  startsSec: number[];
  /** Id of the pair of hands for each step; null where none is needed. */
  hands: (string | null)[];
}

/** What stands in the way of a plan; lifting any one of a minimal set makes the others possible. */
export type Obstacle =
  | { kind: 'hands' }
  | { kind: 'away'; hands: string; fromSec: number; toSec: number | null }
  | { kind: 'busy'; fromSec: number; toSec: number | null }
  | { kind: 'station'; station: string }
  | { kind: 'run'; run: string }
  | { kind: 'earliest'; run: string }
  | { kind: 'latest start'; run: string }
  | { kind: 'deadline'; run: string }
  | { kind: 'longest'; run: string; step: number }
  | { kind: 'horizon' };
