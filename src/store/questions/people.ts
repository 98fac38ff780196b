import { In } from 'typeorm';
import type { Role } from '../../core/people/roles.js';
import { PersonRow } from '../rows/people.entity.js';
import type { View } from '../view.js';

/** The names of people by their ids; ids that are null or unknown are left out. */
export async function namesOf(view: View, ids: readonly (string | null)[]): Promise<Record<string, string>> {
  const asked = [...new Set(ids)].filter((id) => id !== null);
  const people = await view.all(PersonRow, { id: In(asked) });
  return Object.fromEntries(people.map(({ id, name }) => [id, name]));
}

/** Ids of those who may sign in and have a role, in the order in which they came. */
export async function peopleOf(view: View, role: Role): Promise<string[]> {
  const people = await view.all(PersonRow, { disabled: false });
  return people.filter(({ roles }) => roles.includes(role)).map(({ id }) => id);
}

/** Who works here and may sign in: neither those who only read nor those who only keep accounts; by name. */
export async function workersOf(view: View): Promise<{ id: string; name: string }[]> {
  const people = await view.all(PersonRow, { disabled: false }, { order: { name: 'ASC', id: 'ASC' } });
  return people
    .filter(({ roles }) => roles.some((role) => role !== 'reviewer' && role !== 'administrator'))
    .map(({ id, name }) => ({ id, name }));
}
