import type { Instant } from '../time/instant.js';
import type { Role } from './roles.js';

/** The roles that a person was given at an instant, in place of those before. */
export interface RolesGiven {
  at: Instant;
  roles: readonly Role[];
}

/**
 * The roles that a person held at an instant, from all that they were ever given, in the order of the record; none before
 * the first. Made director at nine and nothing but manager at noon, at ten they held ['director'].
 */
export function rolesAt(given: readonly RolesGiven[], at: Instant): readonly Role[] {
  return given.findLast((each) => each.at <= at)?.roles ?? [];
}

/** When a person held a role; `until` is null while they still do. */
export function tenures(given: readonly RolesGiven[], role: Role): { from: Instant; until: Instant | null }[] {
  const spans: { from: Instant; until: Instant | null }[] = [];
  for (const { at, roles } of given) {
    const last = spans.at(-1);
    const holds = last !== undefined && last.until === null;
    if (roles.includes(role) && !holds) spans.push({ from: at, until: null });
    if (!roles.includes(role) && holds) last.until = at;
  }
  return spans;
}
