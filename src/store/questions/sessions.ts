import { LessThanOrEqual } from 'typeorm';
import { atBench, type Role } from '../../core/people/roles.js';
import { PersonRow, SessionRow } from '../rows/people.entity.js';
import type { Unit } from '../unit.js';
import type { View } from '../view.js';

/** Takes away the sessions that were over before this unit; nobody can use them again. */
export async function removeEndedSessions(unit: Unit): Promise<void> {
  await unit.remove(SessionRow, { expiresAt: LessThanOrEqual(unit.at) });
}

/** What a person may be in a session: one that a badge or its day pass opened is for the bench alone. */
export function rolesIn({ openedBy }: Pick<SessionRow, 'openedBy'>, { roles }: Pick<PersonRow, 'roles'>): Role[] {
  return openedBy === null ? roles : atBench(roles);
}

export interface SessionOfPerson {
  session: SessionRow;
  person: PersonRow;
}

/** A session and its person; null when there is none. One query, since every signed-in request asks it. */
export async function sessionWithPerson(view: View, id: string): Promise<SessionOfPerson | null> {
  const found = (await (
    await view.ready()
  )
    .createQueryBuilder(SessionRow, 'session')
    .innerJoinAndMapOne('session.person', PersonRow, 'person', 'person.id = session.personId')
    .where('session.id = :id AND session.laboratoryId = :laboratoryId', { id, laboratoryId: view.laboratoryId })
    .getOne()) as (SessionRow & { person: PersonRow }) | null;
  return found && { session: found, person: found.person };
}
