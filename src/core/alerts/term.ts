import { epochMs, type Instant } from '../time/instant.js';
import type { CalendarEntry } from './calendar.js';
import type { Matter } from './matter.js';

/** Something that counts for a term and must then be done anew. */
export interface Term {
  kind: 'competence' | 'calibration' | 'service' | 'external assessment';
  /** What it is of, unique among its kind. */
  id: string;
  /** As people call it, such as 'Tansy Pebbleworth in H&E'. */
  name: string;
  /** First instant at which it no longer counts. */
  until: Instant;
  path: string;
}

const WAYS: Record<Term['kind'], string> = {
  competence: 'assess anew',
  calibration: 'have it calibrated',
  service: 'have it serviced',
  'external assessment': 'send the results in',
};

/** So long before a term ends it is told of: common practice, no source. */
export const TERM_NOTICE_DAYS = 30;

/** A term that ends within 30 days or has ended; null before. */
export function termMatter({ kind, id, name, until, path }: Term, now: Instant): Matter | null {
  if (epochMs(now) < epochMs(until) - TERM_NOTICE_DAYS * 86_400_000) return null;
  return {
    key: `term ending:${kind}:${id}:${until}`,
    kind: 'term ending',
    text: `${name}: ${WAYS[kind]}; ${until <= now ? 'the term ended at' : 'the term ends at'} ${until}.`,
    path,
  };
}

/** The end of a term in a calendar. */
export function termEntry({ kind, id, name, until, path }: Term): CalendarEntry {
  return {
    key: `term:${kind}:${id}`,
    at: until,
    title: `${name}: ${WAYS[kind]}`,
    about: 'It no longer counts after this.',
    path,
  };
}
