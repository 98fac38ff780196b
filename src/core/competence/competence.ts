import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';

/** The six ways in which competence is assessed (42 CFR 493.1413(b)(8)(i)-(vi), 493.1451(b)(8)(i)-(vi)). */
export const ASSESSMENT_ELEMENTS = [
  'direct observation of routine work',
  'recording and reporting of results',
  'review of worksheets and quality records',
  'direct observation of maintenance and function checks',
  'blind or known samples',
  'problem solving',
] as const;
export type AssessmentElement = (typeof ASSESSMENT_ELEMENTS)[number];

/** What can be decided on a person and a protocol. */
export const COMPETENCE_DECISIONS = ['in training', 'competent', 'not competent', 'withdrawn'] as const;
export type CompetenceDecision = (typeof COMPETENCE_DECISIONS)[number];

/** Whether a person may work after a decision, alone or supervised. `letsWork('withdrawn')` is false. */
export function letsWork(decision: CompetenceDecision): boolean {
  return decision === 'competent' || decision === 'in training';
}

/** A decision on a person's competence in one protocol. */
export interface CompetenceAct {
  protocolId: string;
  decision: CompetenceDecision;
  at: Instant;
  /** Number of the revision on which it was assessed. */
  revision: number;
  /** From this instant on it is over; null where it does not end by itself. */
  until: Instant | null;
}

/** A person with what was decided on their competence in one protocol. */
export interface PersonFacts {
  id: string;
  name: string;
  acts: CompetenceAct[];
}

/** Where a person stands with a protocol at an instant. */
export type CompetenceStanding = 'competent' | 'in training' | 'lapsed' | 'to be assessed anew' | 'not competent';

/**
 * Where a person stands with a protocol at an instant, from the decisions on both, in any order. An assessment ends with
 * its term, and with the first revision since it that asks for a new one; `assessedFrom` is the lowest revision number on
 * which an assessment still counts (42 CFR 493.1413(b)(9), 493.1451(b)(9); ISO 15189:2022 6.2.3). Without any decision a
 * person is not competent. Assessed on revision 2 until 2027, at an instant in 2026 with `assessedFrom` 3, it answers
 * 'to be assessed anew'.
 */
export function competenceAt(acts: readonly CompetenceAct[], at: Instant, assessedFrom: number): CompetenceStanding {
  const last = acts
    .filter((act) => act.at <= at)
    .reduce<CompetenceAct | null>((latest, act) => (latest && latest.at > act.at ? latest : act), null);
  if (!last || last.decision === 'not competent' || last.decision === 'withdrawn') return 'not competent';
  if (last.until !== null && last.until <= at) return 'lapsed';
  if (last.decision === 'in training') return 'in training';
  return last.revision < assessedFrom ? 'to be assessed anew' : 'competent';
}

/**
 * How long an assessment lasts, as an ISO 8601 duration: half a year in the first year of a person's work on patients'
 * specimens, a year after that (42 CFR 493.1413(b)(9), 493.1451(b)(9): at least twice in the first year, then at least
 * yearly). `firstYearUntil` is the end of that year; null when the work has not begun.
 */
export function assessmentTerm(at: Instant, firstYearUntil: Instant | null): 'P6M' | 'P12M' {
  return firstYearUntil !== null && firstYearUntil <= at ? 'P12M' : 'P6M';
}

/** Refuses an assessment that is not whole: each of the six elements is needed for 'competent', with what was seen. */
export function checkAssessment(
  decision: CompetenceDecision,
  elements: readonly { element: AssessmentElement; evidence: string }[],
): void {
  const twice = elements.find(({ element }, n) => elements.findIndex((each) => each.element === element) !== n);
  if (twice) throw refused('elements', `"${twice.element}" stands there twice; give each element once.`);
  if (decision !== 'competent') return;
  const missing = ASSESSMENT_ELEMENTS.filter((element) => !elements.some((each) => each.element === element));
  if (missing.length === 0) return;
  throw refused(
    'elements',
    `An assessment needs all six elements (42 CFR 493.1413(b)(8)); missing: ${missing.join('; ')}. Where one does not apply, say so as its evidence.`,
  );
}

function refused(at: string, message: string): Refusal {
  return new Refusal('invalid', 'assessment-incomplete', message, [{ at, message }]);
}
