import { Refusal } from '../refusal.js';
import { epochMs, type Instant } from '../time/instant.js';

/** Moments of a specimen between the body and the slide that decide what it is fit for. */
export const TISSUE_MOMENTS = ['out of the body', 'into fixative', 'out of fixative'] as const;
export type TissueMoment = (typeof TISSUE_MOMENTS)[number];

/** Tests whose guidelines limit how the tissue was handled before. */
export const TISSUE_TESTS = ['breast receptors'] as const;
export type TissueTest = (typeof TISSUE_TESTS)[number];

/** How the tissue must have been handled for a test; the numbers themselves stand with the gate's rules. */
export interface TissueWindow {
  title: string;
  /** Code of the fixative for which the limits are stated. */
  fixative: string;
  source: string;
}

/** By test, what its guideline asks of the tissue before. */
export const TISSUE_WINDOWS: Record<TissueTest, TissueWindow> = {
  'breast receptors': {
    title: 'breast, for HER2, ER or PgR',
    fixative: 'nbf-10',
    source:
      'ASCO-CAP HER2 2013/2018, ER/PgR 2010: 10 % neutral buffered formalin, 6 to 72 h, cold ischaemia at most 1 h',
  },
};

/** What is known of one specimen's way; null where nobody recorded it. */
export interface TissueTimes {
  takenAt: Instant | null;
  fixedFrom: Instant | null;
  fixedUntil: Instant | null;
  /** Code of the fixative. */
  fixative: string | null;
}

/** A moment as somebody recorded it; of one kind the one that was recorded last counts. */
export interface RecordedMoment {
  kind: TissueMoment;
  at: Instant;
  fixative: string | null;
}

/** What is known of a specimen's way from when it was said to be taken at first and its recorded moments, in the order of the record. */
export function tissueTimes(takenAt: Instant | null, moments: readonly RecordedMoment[]): TissueTimes {
  const into = moments.findLast(({ kind }) => kind === 'into fixative');
  const out = moments.findLast(({ kind }) => kind === 'out of fixative');
  const taken = moments.findLast(({ kind }) => kind === 'out of the body');
  return {
    takenAt: taken?.at ?? takenAt,
    fixedFrom: into?.at ?? null,
    fixedUntil: out?.at ?? null,
    fixative: into?.fixative ?? null,
  };
}

/** Milliseconds from one moment to a later one; null where either is unknown. */
export function between(from: Instant | null, until: Instant | null): number | null {
  return from === null || until === null ? null : epochMs(until) - epochMs(from);
}

/** Refuses a moment that cannot be: in the future, or out of the order body, fixative, out of it. */
export function checkMoment(moment: RecordedMoment, known: TissueTimes, now: Instant): void {
  const { kind, at } = moment;
  const refuse = (code: string, message: string): never => {
    throw new Refusal('invalid', code, message, [{ at: 'at', message }]);
  };
  if (at > now) refuse('future', `${at} lies in the future; it is ${now} now.`);
  const next = [known.fixedFrom, known.fixedUntil].find((each) => each !== null);
  if (kind === 'out of the body' && next != null && at > next) {
    refuse('after-fixing', `It was in fixative at ${next}; it cannot have left the body after that.`);
  }
  if (kind !== 'out of the body' && known.takenAt !== null && at < known.takenAt) {
    refuse('before-taken', `It left the body at ${known.takenAt}; what came after cannot lie before that.`);
  }
  if (kind === 'out of fixative' && known.fixedFrom === null) {
    refuse('never-in', 'Record first when it went into fixative.');
  }
  if (kind === 'out of fixative' && known.fixedFrom !== null && at < known.fixedFrom) {
    refuse('before-fixed', `It went into fixative at ${known.fixedFrom}; it cannot have come out before that.`);
  }
  if (kind === 'into fixative' && known.fixedUntil !== null && at > known.fixedUntil) {
    refuse('after-fixed', `It came out of fixative at ${known.fixedUntil}; correct that first if it is wrong.`);
  }
}
