/** What a person may do; a person can hold several. */
export const ROLES = ['technician', 'releaser', 'manager', 'director', 'reviewer', 'administrator'] as const;
export type Role = (typeof ROLES)[number];

/** Who needs to know the patient to do their work. */
export const KNOW_THE_PATIENT: readonly Role[] = ['technician', 'releaser', 'director'];

/**
 * What speaks against a set of roles, or null: a person needs at least one, and a reviewer holds no other, since who
 * judges the record must not write in it. `rolesFault(['reviewer', 'manager'])` tells so.
 */
export function rolesFault(roles: readonly Role[]): string | null {
  if (roles.length === 0) return `there is none; give at least one of ${ROLES.join(', ')}`;
  if (roles.includes('reviewer') && roles.length > 1) {
    return 'a reviewer reads the record and writes nothing in it; give the role reviewer alone';
  }
  return null;
}

/** What a badge and a PIN open: work at the bench. */
const BENCH_ROLES: readonly Role[] = ['technician', 'releaser'];

/** Those of a person's roles that they can take up at the bench without a password. */
export function atBench(roles: readonly Role[]): Role[] {
  return roles.filter((role) => BENCH_ROLES.includes(role));
}
