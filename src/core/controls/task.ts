import type { Instant } from '../time/instant.js';

/** Where a task stands at an instant; a task without a use by the end of its period is not needed. */
export const TASK_STATES = ['to come', 'due', 'overdue', 'missed', 'answered', 'not needed'] as const;
export type TaskState = (typeof TASK_STATES)[number];

/** A control that is due, by one clock. */
export interface ControlTask {
  /** The same whenever it is computed: protocol, control, clock, and what it is about or its period. */
  key: string;
  protocolId: string;
  requirement: string;
  /** The clock as a person reads it. */
  clock: string;
  clause: string;
  /** Id of the run, lot or service, or the result after which slides or days are counted; null for a period. */
  about: string | null;
  /** The local day, week or month; of the other tasks the day on which it came up. */
  period: string;
  /** Where; null when any bench may do it. */
  station: string | null;
  dueFrom: Instant;
  /** Null while nobody can say. */
  dueUntil: Instant | null;
  state: TaskState;
  /** Id of the passing result that answers it. */
  answeredBy: string | null;
  /** Runs for patients that it leaves without a control, earliest first. */
  uncovered: string[];
}
