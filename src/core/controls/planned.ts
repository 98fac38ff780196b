import { CONTROL_TIMES, type ControlKind } from '../protocol/protocol.js';
import type { Criterion } from './criteria.js';

/** What can make a control due. Each is a clock of its own: one slide may answer several, and none answers for another. */
export const PLAN_TIMES = [
  ...CONTROL_TIMES,
  'each new lot or shipment',
  'after a full reagent change',
  'after service of an instrument',
  'every n slides',
  'every n days',
] as const;
export type PlanTime = (typeof PLAN_TIMES)[number];

export interface PlannedClock {
  when: PlanTime;
  /** How many slides or days; only for the clocks that count. */
  n?: number;
  /** The published clause or the local rule that asks for it. */
  clause: string;
}

export interface PlannedControl {
  /** The protocol's id of the control, or the laboratory's own. */
  id: string;
  kind: ControlKind;
  material: string;
  expected: string;
  /** What it is read by; empty for the usual criteria of its category. */
  criteria: Criterion[];
  /** False for what is advised and holds nothing. */
  required: boolean;
  clocks: PlannedClock[];
  /** A second person reads it too. */
  secondReader: boolean;
  /** A picture is kept with the result. */
  pictures: boolean;
}

/** What counts as one use: each run by itself, or at the bedside the runs of one session or of one patient. */
export const USE_COUNTS = ['run', 'session', 'patient'] as const;

export interface UseDefinition {
  /** The director's own words. */
  words: string;
  counts: (typeof USE_COUNTS)[number];
  /** How long a session lasts from the run that carried its controls; only for a session. */
  hours?: number;
}

/** A session longer than this would make one control the day's. The limit is ours. */
export const LONGEST_SESSION_HOURS = 8;

/** Which controls a protocol gets, and when. */
export interface ControlPlan {
  protocolId: string;
  use: UseDefinition;
  controls: PlannedControl[];
}

/** The clock as a person reads it. `clockName({ when: 'every n slides', n: 50, clause: '' })` is 'every 50 slides'. */
export function clockName({ when, n }: Pick<PlannedClock, 'when' | 'n'>): string {
  return n === undefined ? when : when.replace(' n ', ` ${n} `);
}
