import type { Weight } from '../finding.js';

/** What a rule says, what it weighs, and which requirement it serves. */
export interface Rule {
  title: string;
  /** 'by step': stop on a critical step, note elsewhere, caution where the protocol says so. */
  weight: Weight | 'by step';
  /** What mends it, said to the person at the bench. */
  mend: string;
  /** Rule ids of the published requirements, or of this project's design. */
  source: string;
  /** False where no exception can ever let the result out. */
  excusable: boolean;
}

/** Sources that rules of several topics name. */
export const MANUFACTURER = '42 CFR 493.1252(a): follow the stated procedure';
export const GUARD_BAND = 'JCGM 106:2012, guard bands';
