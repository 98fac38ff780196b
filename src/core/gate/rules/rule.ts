import type { ClauseKey } from '../clauses.js';
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
  /** Keys of the clauses that it serves. */
  serves: readonly ClauseKey[];
  /** False where no exception can ever let the result out. */
  excusable: boolean;
  /** Numbers of its own, which a laboratory's policy may tighten. */
  limits?: Readonly<Record<string, RuleLimit>>;
}

/** A number that a rule compares with. */
export interface RuleLimit {
  title: string;
  unit: 'min' | 'h';
  /** As published; null where nothing is published and a policy alone may set one. */
  value: number | null;
  /** Which way is stricter. */
  stricter: 'less' | 'more';
}

/** Sources that rules of several topics name. */
export const MANUFACTURER = '42 CFR 493.1252(a): follow the stated procedure';
export const GUARD_BAND = 'JCGM 106:2012, guard bands';
