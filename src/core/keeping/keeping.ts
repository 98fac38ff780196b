import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';
import { endOfLife, instantOfLocal, localDay } from '../time/zone.js';
import { KEPT_KINDS, type KeptCode, type KeptKind } from './kinds.js';

/** Longer than any rule asks; what is meant for ever is said by a hold. */
export const MOST_YEARS = 100;

/** A laboratory's own term for a kind; the last one signed counts. */
export interface KeepingTerm {
  kind: KeptCode;
  years: number;
}

/** A signed order that nothing of some kinds goes, whatever its term, until it is lifted. */
export interface LegalHold {
  /** Null for every kind. */
  kinds: readonly KeptCode[] | null;
  /** Records made from this instant on; null for from the first. */
  from: Instant | null;
  /** Records made before this instant; null for to the last. */
  to: Instant | null;
  lifted: boolean;
}

/** The kind of a code. */
export function kindOf(code: KeptCode): KeptKind {
  return KEPT_KINDS.find((kind) => kind.code === code) as KeptKind;
}

/** For how many years a kind is kept: the laboratory's own term, never less than the floor. `yearsKept('bench', [])` is 2. */
export function yearsKept(code: KeptCode, terms: readonly KeepingTerm[]): number {
  const own = terms.findLast(({ kind }) => kind === code)?.years ?? 0;
  return Math.max(own, kindOf(code).floorYears);
}

/** Refuses a term under the law's floor, one that no rule asks for, one that is in force, and a shorter one under a hold. */
export function checkTerm(
  { kind: code, years }: KeepingTerm,
  terms: readonly KeepingTerm[],
  holds: readonly LegalHold[],
): void {
  const refuse = (refusal: 'invalid' | 'conflict', reason: string, message: string): never => {
    throw new Refusal(refusal, reason, message, [{ at: 'years', message }]);
  };
  const { title, floorYears, clause } = kindOf(code);
  if (years < floorYears) {
    refuse(
      'invalid',
      'under-floor',
      `${title}: the law asks for ${floorYears} years or more (${clause}); give at least that.`,
    );
  }
  if (years > MOST_YEARS)
    refuse('invalid', 'too-long', `Give at most ${MOST_YEARS} years; what must never go is held.`);
  const now = yearsKept(code, terms);
  if (years === now) refuse('conflict', 'unchanged', `${title} are kept for ${years} years already.`);
  if (years < now && holdsOn(code, holds).length > 0) {
    refuse('conflict', 'under-hold', `${title} are under a legal hold; lift it before the term becomes shorter.`);
  }
}

/** The holds on a kind that are not lifted. */
export function holdsOn<H extends LegalHold>(code: KeptCode, holds: readonly H[]): H[] {
  return holds.filter(({ kinds, lifted }) => !lifted && (kinds === null || kinds.includes(code)));
}

/**
 * The first instant at which a record made at `at` has been kept for its years, which run to the end of the local day.
 * `keptUntil('2026-11-25T09:00:00.000Z', 2, 'UTC')` is '2028-11-26T00:00:00.000Z'.
 */
export function keptUntil(at: Instant, years: number, zone: string): Instant {
  return endOfLife(at, `P${years}Y`, zone);
}

/**
 * Records made before this instant have been kept for their years at `now`, and others have not (of a leap day, a day
 * later at most). `termPassed('2028-11-26T09:00:00.000Z', 2, 'UTC')` is '2026-11-26T00:00:00.000Z'.
 */
export function termPassed(now: Instant, years: number, zone: string): Instant {
  const [year = '', month = '', day = ''] = localDay(now, zone).split('-');
  const then = String(Number(year) - years).padStart(4, '0');
  const leap = new Date(Date.UTC(Number(then), 1, 29)).getUTCMonth() === 1;
  const date = month === '02' && day === '29' && !leap ? `${then}-02-28` : `${then}-${month}-${day}`;
  return instantOfLocal(`${date}T00:00`, zone);
}
