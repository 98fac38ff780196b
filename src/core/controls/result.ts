import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';

/** How well one thing was seen: as it should be, not, or graded from 0 (none) to 3 (strong). */
export const GRADES = ['pass', 'fail', 0, 1, 2, 3] as const;
export type CriterionGrade = (typeof GRADES)[number];

/** One criterion of a control's reading and how it was judged. */
export interface CriterionReading {
  /** Code of the criterion, such as 'nuclear-crispness'. */
  criterion: string;
  grade: CriterionGrade;
  /** What was seen where it was not as it should be. */
  seen?: string;
}

/** 'first' reads the control; 'second' reads it again, another person; 'agreed' settles what the two saw differently. */
export const READINGS = ['first', 'second', 'agreed'] as const;
export type ReadingKind = (typeof READINGS)[number];

/** One reading of a control as it was recorded, corrections applied. */
export interface ControlReading {
  id: string;
  /** Record number of the act that wrote it. */
  seq: number;
  runId: string | null;
  protocolId: string;
  revisionId: string | null;
  requirement: string;
  subjectId: string | null;
  reading: ReadingKind;
  /** When it was read. */
  at: Instant;
  /** When what was read was stained: the start of its run; of a value without a run, when it was measured. */
  stainedAt: Instant;
  /** The laboratory's local day on which it was read. */
  day: string;
  passed: boolean;
  observed: string;
  personId: string | null;
  /** Lot of each reagent by the reagent's code; empty when nobody said. */
  lots: Record<string, string>;
  criteria: CriterionReading[] | null;
  /** Ids of files. */
  pictures: string[] | null;
  /** The value of a series that it was judged by. */
  valueId: string | null;
}

/** What two readers make of one control. */
export type SecondReader = 'none' | 'agrees' | 'disagrees' | 'settled';

/** What counts of a reading where two are made into one result. */
export interface Readable {
  /** Record number of the act that wrote it. */
  seq: number;
  reading: ReadingKind;
  passed: boolean;
  personId: string | null;
}

/** A first reading with what a second reader and an agreement made of it. */
export type Outcome<R extends Readable> = R & {
  second: SecondReader;
  secondPersonId: string | null;
  /** The readings that it is made of, in order. */
  readings: R[];
};

/**
 * The results that readings make, in the order of the record: a second reading and an agreement belong to the first
 * reading before them of the same control, as `controlOf` names it. Two readers who disagree make a result that did not
 * pass until an agreement settles it (local procedure). Readings that were withdrawn are not given.
 * `foldReadings([first passed, second failed], () => 'c')` is one result with `passed` false and `second` 'disagrees'.
 */
export function foldReadings<R extends Readable>(
  readings: readonly R[],
  controlOf: (reading: R) => string,
): Outcome<R>[] {
  const results: Outcome<R>[] = [];
  const latest = new Map<string, Outcome<R>>();
  for (const reading of [...readings].sort((a, b) => a.seq - b.seq)) {
    const own = latest.get(controlOf(reading));
    if (own && reading.reading !== 'first') {
      join(own, reading);
      continue;
    }
    const result: Outcome<R> = { ...reading, second: 'none', secondPersonId: null, readings: [reading] };
    latest.set(controlOf(reading), result);
    results.push(result);
  }
  return results;
}

function join<R extends Readable>(result: Outcome<R>, reading: R): void {
  result.readings.push(reading);
  if (reading.reading === 'agreed') {
    result.second = 'settled';
    result.passed = reading.passed;
    return;
  }
  result.secondPersonId = reading.personId;
  result.second = reading.passed === result.passed ? 'agrees' : 'disagrees';
  result.passed &&= reading.passed;
}

/** A control's result. */
export type ControlResult = Outcome<ControlReading>;

/** The results that recorded readings make; one of a value without a run is a result by itself. */
export function resultsOf(readings: readonly ControlReading[]): ControlResult[] {
  return foldReadings(readings, ({ id, runId, subjectId }) => (subjectId === null ? id : `${runId} ${subjectId}`));
}

/** Of all results of some runs those that passed, without those of a run in which the same control failed as well. */
export function wholePasses(results: readonly ControlResult[]): ControlResult[] {
  const failed = new Set(
    results.filter(({ passed }) => !passed).map(({ runId, requirement }) => `${runId} ${requirement}`),
  );
  return results.filter(
    ({ passed, runId, requirement }) => passed && (runId === null || !failed.has(`${runId} ${requirement}`)),
  );
}

/** A reading before it is kept. */
export interface NewReading {
  reading: ReadingKind;
  passed: boolean;
  personId: string;
  criteria: readonly CriterionReading[];
}

/**
 * Refuses a reading that contradicts itself or the readings before it of the same control: one that passed although a
 * criterion failed, a second one by the person who read first, an agreement where nobody disagreed.
 */
export function checkReading(
  { reading, passed, personId, criteria }: NewReading,
  earlier: Outcome<Readable> | null,
): void {
  const failed = criteria.find(({ grade }) => grade === 'fail');
  if (passed && failed) {
    throw bad('data.passed', `"${failed.criterion}" failed, so the control did not pass; say "passed": false.`);
  }
  const twice = criteria.find(({ criterion }, n) => criteria.findIndex((each) => each.criterion === criterion) !== n);
  if (twice) throw bad('data.criteria', `"${twice.criterion}" is judged twice; judge each criterion once.`);
  if (reading === 'first') return;
  if (!earlier) throw bad('data.reading', 'Nobody has read this control yet; record the first reading.');
  if (reading === 'second' && earlier.personId === personId) {
    throw bad(
      'data.reading',
      'The second reader is another person than the first; let somebody else sign in and read.',
    );
  }
  if (reading === 'second' && earlier.second !== 'none') {
    throw bad('data.reading', 'A second reader has read this control already; record what both agreed on.');
  }
  if (reading === 'agreed' && earlier.second !== 'disagrees') {
    throw bad('data.reading', 'The readers of this control do not disagree; there is nothing to settle.');
  }
}

function bad(at: string, message: string): Refusal {
  return new Refusal('invalid', 'invalid-event', message, [{ at, message }]);
}
