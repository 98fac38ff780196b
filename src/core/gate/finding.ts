import type { Instant } from '../time/instant.js';

export const WEIGHTS = ['stop', 'caution', 'note'] as const;
export type Weight = (typeof WEIGHTS)[number];

/** One fact that speaks against releasing: what, when, measured against what, by which rule. One per rule and subject. */
export interface Finding {
  /** Rule and subject joined, stable for acknowledgements: 'step-long:dye'. */
  id: string;
  /** Code of the rule in the gate's list. */
  rule: string;
  weight: Weight;
  /** The specimen or slide it belongs to; null when it belongs to the whole run, whose subjects inherit it. */
  subjectId: string | null;
  /** What happened, in a plain sentence. */
  what: string;
  /** The act's own instant; null when the finding is that nothing happened. */
  at: Instant | null;
  measured: string | null;
  against: string | null;
  /** What mends it. */
  mend: string;
  /** The published or local rule that it serves. */
  source: string;
  /** False where no exception can let the result out over it. */
  excusable: boolean;
  /** True once a person acknowledged a caution or resolved an undecided one in favour. */
  settled: boolean;
}
