import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';

/** Parts of the record that a reviewer can be kept to. */
export const REVIEW_AREAS = ['bench work', 'stock', 'people', 'instruments'] as const;
export type ReviewArea = (typeof REVIEW_AREAS)[number];

/** What somebody may see of the record. */
export interface ReviewScope {
  /** Records from this instant on. */
  from: Instant;
  /** Records before this instant. */
  to: Instant;
  /** Null for all protocols. */
  protocols: readonly string[] | null;
  /** Null for all areas. */
  areas: readonly ReviewArea[] | null;
}

/** Access to a part of the record, given to a reviewer for a time. */
export interface ReviewGrant extends ReviewScope {
  id: string;
  /** From this instant on it works. */
  validFrom: Instant;
  /** From this instant on it no longer works. */
  validUntil: Instant;
  /** When it was taken back; null while it was not. */
  revokedAt: Instant | null;
}

export type GrantStanding = 'to come' | 'valid' | 'ended' | 'revoked';

/**
 * Where a grant stands at an instant. A grant taken back stays so, whatever its dates; `validUntil` itself is past it.
 * Valid until noon, at noon it is 'ended'.
 */
export function grantStanding({ revokedAt, validFrom, validUntil }: ReviewGrant, at: Instant): GrantStanding {
  if (revokedAt !== null && revokedAt <= at) return 'revoked';
  if (at >= validUntil) return 'ended';
  return at < validFrom ? 'to come' : 'valid';
}

/**
 * The grant by which a reviewer sees anything at an instant, from all of theirs in the order in which they were given: of
 * several valid ones the last. Refuses in words when there is none, saying which one came nearest and what would help.
 */
export function grantAt(grants: readonly ReviewGrant[], at: Instant): ReviewGrant {
  const valid = grants.findLast((grant) => grantStanding(grant, at) === 'valid');
  if (valid) return valid;
  const nearest = (['to come', 'ended', 'revoked'] as const)
    .map((standing) => grants.findLast((grant) => grantStanding(grant, at) === standing))
    .find((grant) => grant !== undefined);
  if (!nearest) throw closed('Nobody has given you access to records here yet');
  const standing = grantStanding(nearest, at);
  if (standing === 'to come') throw closed(`Your access begins on ${nearest.validFrom}`);
  if (standing === 'ended') throw closed(`Your access ended on ${nearest.validUntil}`);
  throw closed(`Your access was taken back on ${nearest.revokedAt}`);
}

function closed(what: string): Refusal {
  return new Refusal(
    'forbidden',
    'review-closed',
    `${what}. An administrator or director of the laboratory can give access for a period and a time.`,
  );
}

/** Refuses a grant that opens nothing: its period or its time ends before it begins, or its time is over at `now`. */
export function checkGrant(
  { from, to, validFrom, validUntil }: Omit<ReviewGrant, 'id' | 'revokedAt'>,
  now: Instant,
): void {
  if (to <= from) throw empty('toDay', 'the period ends before it begins; give a later last day');
  if (validUntil <= validFrom) throw empty('validTo', 'the access would end before it begins; give a later last day');
  if (validUntil <= now) throw empty('validTo', 'the access would be over already; give today or a later day');
}

function empty(at: string, message: string): Refusal {
  return new Refusal('invalid', 'empty-grant', 'This grant would open nothing.', [{ at, message }]);
}

/**
 * What of an asked period lies within a scope; refuses when nothing does or when more is asked than was granted, since an
 * answer for less than the asked period would say 'no record exists' of days that nobody looked at.
 */
export function checkPeriod(scope: ReviewScope | null, asked: { from: Instant; to: Instant }): void {
  if (!scope || (asked.from >= scope.from && asked.to <= scope.to)) return;
  throw new Refusal(
    'forbidden',
    'outside-review',
    `Your access is to records from ${scope.from} until before ${scope.to}; ask for days within that period.`,
  );
}

/** Refuses a protocol that a scope leaves out. */
export function checkProtocol(scope: ReviewScope | null, protocolId: string): void {
  if (!scope || scope.protocols === null || scope.protocols.includes(protocolId)) return;
  throw outside(`Your access is to the protocols ${scope.protocols.join(', ')}; ask about one of these.`);
}

/** Refuses an area that a scope leaves out. */
export function checkArea(scope: ReviewScope | null, area: ReviewArea): void {
  if (!scope || scope.areas === null || scope.areas.includes(area)) return;
  throw outside(`Your access is to ${scope.areas.join(', ')}; ${area} is not part of it.`);
}

function outside(message: string): Refusal {
  return new Refusal('forbidden', 'outside-review', message);
}
