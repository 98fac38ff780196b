import type { Protocol } from '../protocol/protocol.js';
import { Refusal } from '../refusal.js';
import type { CriterionReading } from './result.js';

/** One thing that a reader judges, as the page offers it. */
export interface Criterion {
  /** Lower-case words joined by hyphens. */
  code: string;
  title: string;
  expected: string;
  /** What the four grades mean, from 0, the worst, to 3; null where it is pass or fail. */
  grades: string[] | null;
  /** The least grade that passes; null where it is pass or fail. */
  least: 0 | 1 | 2 | 3 | null;
  source: string;
}

/** Compiled for this project: reading criteria of routine, special and fluorescent stains. */
const TABLE = 'stain facts compiled 2026-11-25, reading criteria; common practice, each laboratory sets its own';

const REACTION: Criterion = {
  code: 'reaction',
  title: 'Reaction of the control',
  expected: 'as expected; neither weaker, absent nor too strong',
  grades: null,
  least: null,
  source: TABLE,
};
const NUCLEI: Criterion = {
  code: 'nuclear-crispness',
  title: 'Nuclear crispness',
  expected: 'crisp, with chromatin detail',
  grades: ['none', 'smudged', 'acceptable', 'crisp with chromatin detail'],
  least: 2,
  source: TABLE,
};
const CYTOPLASM: Criterion = {
  code: 'cytoplasm',
  title: 'Cytoplasm',
  expected: 'three or more distinct shades on the control',
  grades: ['flat', 'one shade', 'two shades', 'three or more shades'],
  least: 3,
  source: TABLE,
};
const BACKGROUND: Criterion = {
  code: 'background',
  title: 'Background',
  expected: 'clean',
  grades: ['heavy', 'moderate', 'slight', 'clean'],
  least: 2,
  source: TABLE,
};
const PRECIPITATE: Criterion = {
  code: 'precipitate',
  title: 'Precipitate or crystals',
  expected: 'at most 5 specks in 10 fields at 40x, or the laboratory’s own limit',
  grades: null,
  least: null,
  source: TABLE,
};
const CONTAMINATION: Criterion = {
  code: 'contamination',
  title: 'Foreign tissue or cells',
  expected: 'none; otherwise traced and noted',
  grades: null,
  least: null,
  source: TABLE,
};

const BY_CATEGORY: Record<Protocol['category'], readonly Criterion[]> = {
  routine: [NUCLEI, CYTOPLASM, BACKGROUND, PRECIPITATE, CONTAMINATION],
  special: [REACTION, NUCLEI, BACKGROUND, PRECIPITATE, CONTAMINATION],
  immunohistochemical: [REACTION, NUCLEI, BACKGROUND, PRECIPITATE, CONTAMINATION],
  fluorescent: [REACTION, NUCLEI, BACKGROUND, PRECIPITATE],
  'in-situ-hybridisation': [REACTION, NUCLEI, BACKGROUND, CONTAMINATION],
};

/** Of material that must not react nobody judges nuclei or shades. */
const ALSO_NEGATIVE = [REACTION.code, BACKGROUND.code, PRECIPITATE.code, CONTAMINATION.code];

/**
 * The criteria that a control of a protocol is read by while its plan names none of its own, from the compiled table of
 * reading criteria. `usualCriteria(harris, {kind: 'positive'})` starts with nuclear crispness.
 */
export function usualCriteria(
  { category }: Pick<Protocol, 'category'>,
  { kind }: { kind: string },
): readonly Criterion[] {
  if (kind === 'instrument') return [];
  const all = BY_CATEGORY[category];
  if (kind === 'positive' || kind === 'internal') return all;
  const negative = all.filter(({ code }) => ALSO_NEGATIVE.includes(code));
  return negative.some(({ code }) => code === REACTION.code) ? negative : [REACTION, ...negative];
}

/** What a control is read by. */
export interface ReadBy {
  criteria: readonly Criterion[];
  /** The plan wrote them, so that each must be judged and none may be below what passes; the usual ones may be left out. */
  written: boolean;
}

/**
 * The criteria of a control: those that its plan writes, else the usual ones of its protocol's category.
 * `readBy(harris, {kind: 'positive', criteria: []})` is the usual ones, not written.
 */
export function readBy(
  protocol: Pick<Protocol, 'category'>,
  control: { kind: string; criteria: readonly Criterion[] },
): ReadBy {
  const written = control.criteria.length > 0;
  return { criteria: written ? control.criteria : usualCriteria(protocol, control), written };
}

/**
 * Refuses a reading whose criteria are not those of its control: one that nobody knows, one that the plan writes and that was
 * not judged, a grade on another scale, and a control said to have passed with a criterion below what the plan lets pass.
 */
export function checkCriteria(readings: readonly CriterionReading[], passed: boolean, by: ReadBy): void {
  const names = by.criteria.map(({ code }) => code).join(', ') || 'none';
  for (const [n, { criterion, grade }] of readings.entries()) {
    const known = by.criteria.find(({ code }) => code === criterion);
    const at = `data.criteria.${n}`;
    if (!known) throw bad(`${at}.criterion`, `This control is not read by "${criterion}"; it is read by ${names}.`);
    if (!by.written) continue;
    if (typeof grade === 'number' && known.grades === null) {
      throw bad(`${at}.grade`, `"${criterion}" is pass or fail, not graded; say "pass" or "fail".`);
    }
    if (typeof grade === 'string' && known.grades !== null) {
      throw bad(`${at}.grade`, `"${criterion}" is graded from 0 to 3; give its grade.`);
    }
    if (passed && !isGood(known, grade)) {
      const least = known.least === null ? 'as it should be' : `${known.least} at least`;
      throw bad('data.passed', `"${criterion}" is ${grade}, and the plan asks for ${least}; say "passed": false.`);
    }
  }
  if (!by.written) return;
  const left = by.criteria.filter(({ code }) => !readings.some(({ criterion }) => criterion === code));
  if (left.length === 0) return;
  const missing = left.map(({ code }) => code).join(', ');
  throw bad('data.criteria', `The plan asks for ${names}; judge ${missing} as well.`);
}

function bad(at: string, message: string): Refusal {
  return new Refusal('invalid', 'invalid-event', message, [{ at, message }]);
}

/** A criterion's grade that passes. */
export function passingGrade({ grades }: Criterion): CriterionReading['grade'] {
  return grades === null ? 'pass' : 3;
}

/** Whether a grade is good enough. */
export function isGood({ least }: Criterion, grade: CriterionReading['grade']): boolean {
  return typeof grade === 'number' ? grade >= (least ?? 0) : grade === 'pass';
}
