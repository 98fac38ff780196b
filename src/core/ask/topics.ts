import type { ReviewArea } from '../people/review.js';

/** What the record can be asked about. */
export const TOPICS = ['day', 'protocol', 'lot', 'person', 'specimen', 'instrument'] as const;
export type TopicName = (typeof TOPICS)[number];

/** The part of the record that each belongs to. */
export const AREA_OF: Readonly<Record<TopicName, ReviewArea>> = {
  day: 'bench work',
  protocol: 'bench work',
  lot: 'stock',
  person: 'people',
  specimen: 'bench work',
  instrument: 'instruments',
};

/** A count beside what it is a part of; `of` is null where it is a part of nothing. */
export interface Counted {
  what: CountName;
  count: number;
  of: { what: CountName; count: number } | null;
}

export const COUNT_NAMES = [
  'all runs of the period',
  'runs',
  'runs for patients',
  'runs broken off',
  'specimens and slides',
  'bench entries',
  'late entries',
  'corrections',
  'control readings',
  'control readings that failed',
  'releases',
  'releases by exception',
  'releases with a stop or caution',
  'releases amended',
  'releases withdrawn',
] as const;
export type CountName = (typeof COUNT_NAMES)[number];

/** What each count is a part of. */
const PART_OF: Partial<Record<CountName, CountName>> = {
  runs: 'all runs of the period',
  'runs for patients': 'runs',
  'runs broken off': 'runs',
  'late entries': 'bench entries',
  corrections: 'bench entries',
  'control readings that failed': 'control readings',
  'releases by exception': 'releases',
  'releases with a stop or caution': 'releases',
  'releases amended': 'releases',
  'releases withdrawn': 'releases',
};

/**
 * Counts in their order, each beside what it is a part of, so that no exception stands without its denominator:
 * `countedOf({ releases: 40, 'releases by exception': 1, … })` says 1 of 40.
 */
export function countedOf(counts: Readonly<Record<CountName, number>>): Counted[] {
  return COUNT_NAMES.map((what) => {
    const whole = PART_OF[what];
    return { what, count: counts[what], of: whole === undefined ? null : { what: whole, count: counts[whole] } };
  });
}
