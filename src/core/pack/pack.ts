import { Refusal } from '../refusal.js';
import { daysBetween } from '../time/days.js';
import { localDay } from '../time/zone.js';
import type { Instant } from '../time/instant.js';
import type { ChainChoice, IdentifierChoice } from './choices.js';

/** Which runs a pack is limited to; an empty list limits nothing. */
export interface OnlyRuns {
  protocols: string[];
  people: string[];
  lots: string[];
  runs: string[];
}

/** What a pack is asked to hold. */
export interface PackScope {
  /** First and last local day, both included. */
  from: string;
  to: string;
  /** The same as instants: from the start of the first day to before the end of the last. */
  since: Instant;
  until: Instant;
  identifiers: IdentifierChoice;
  chain: ChainChoice;
  only: OnlyRuns;
  /** Runs whose report and pictures go in. */
  shown: string[];
}

export const PACK_ACT_KINDS = ['made', 'failed', 'again', 'cancelled', 'removed'] as const;
export type PackActKind = (typeof PACK_ACT_KINDS)[number];

export const PACK_STATES = ['waiting', 'working', 'made', 'failed', 'cancelled', 'removed'] as const;
export type PackState = (typeof PACK_STATES)[number];

/** Longer than any rule asks records to be kept in one piece. */
const MOST_DAYS = 3660;

/**
 * Refuses a period that ends before it begins, that begins or ends after today, or that is longer than ten years; days
 * are those of the laboratory's zone. `checkPeriod('2026-11-02', '2026-11-01', …)` refuses with 'bad-period'.
 */
export function checkPeriod(from: string, to: string, zone: string, now: Instant): void {
  const today = localDay(now, zone);
  const refuse = (at: string, message: string): never => {
    throw new Refusal('invalid', 'bad-period', message, [{ at, message }]);
  };
  const days = daysBetween(from, to) + 1;
  if (days < 1) refuse('to', `The period ends on ${to}, before it begins on ${from}; turn the days round.`);
  if (from > today) refuse('from', `The period begins on ${from}, and today is ${today}: nothing is recorded yet.`);
  if (to > today) refuse('to', `The period ends on ${to}, and today is ${today}; end it today or before.`);
  if (days > MOST_DAYS) {
    refuse('from', `The period has ${days} days; take at most ${MOST_DAYS}, and make several packs of a longer one.`);
  }
}

/** Whether the pack is limited to some runs. */
export function isLimited({ protocols, people, lots, runs }: OnlyRuns): boolean {
  return protocols.length + people.length + lots.length + runs.length > 0;
}

/** Where a pack stands by its last act; while none ended it, by whether somebody is at work on it now. */
export function packState(last: PackActKind | null, working: boolean): PackState {
  if (last === null || last === 'again') return working ? 'working' : 'waiting';
  return last;
}
