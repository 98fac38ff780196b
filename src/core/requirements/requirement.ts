import type { ReviewArea } from '../people/review.js';

/** Something that a rule or standard asks and that records here can prove, in our own words: the source counts, not this text. */
export interface Requirement {
  id: string;
  /** Where it stands, such as '42 CFR 493.1256(e)(2)'. */
  clause: string;
  /** What is asked. */
  asks: string;
  /** Which records prove it. */
  records: string;
  /** What makes one of them a gap. */
  gap: string;
  /** Whether the clause was read in a copy of its text, or stands here from memory and is to be checked against the source. */
  source: 'read in a copy' | 'from memory';
  area: ReviewArea;
  /** Whether its records belong to protocols, so that a review of some protocols can ask for it. */
  byProtocol: boolean;
}

/** Where a requirement stands in a period, by counts alone. */
export type ProofState = 'proven' | 'gaps' | 'no record';

/** Where a requirement stands: without any record nothing is proven. `proofState(12, 0)` is 'proven'. */
export function proofState(records: number, gaps: number): ProofState {
  if (records === 0) return 'no record';
  return gaps === 0 ? 'proven' : 'gaps';
}
