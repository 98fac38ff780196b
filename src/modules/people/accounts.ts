import { v7 as newId } from 'uuid';
import { passwordFault } from '../../core/people/password.js';
import { type Role, rolesFault } from '../../core/people/roles.js';
import { Refusal } from '../../core/refusal.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import type { Unit } from '../../store/unit.js';

/** Refuses a new password that is too easy to guess; `at` names it in the request. */
export function usablePassword(password: string, login: string, at: string): void {
  const fault = passwordFault(password, login);
  if (fault)
    throw new Refusal('invalid', 'weak-password', 'The new password cannot be used.', [{ at, message: fault }]);
}

/** Refuses roles that do not go together. */
export function usableRoles(roles: readonly Role[]): void {
  const fault = rolesFault(roles);
  if (fault)
    throw new Refusal('invalid', 'bad-roles', 'These roles cannot be given.', [{ at: 'roles', message: fault }]);
}

/** Adds an account within an act and answers its id. */
export async function addPerson(
  unit: Unit,
  { name, login, roles, passwordHash }: { name: string; login: string; roles: Role[]; passwordHash: string },
): Promise<string> {
  if (await unit.one(PersonRow, { login })) {
    throw new Refusal(
      'conflict',
      'login-taken',
      `The login "${login}" belongs to another person, for good; choose another.`,
    );
  }
  const id = newId();
  await unit.add(PersonRow, {
    id,
    name,
    login,
    roles,
    passwordHash,
    disabled: false,
    failures: 0,
    lockedUntil: null,
    createdAt: unit.at,
  });
  return id;
}
