import { LessThanOrEqual } from 'typeorm';
import { SessionRow } from '../rows/people.entity.js';
import type { Unit } from '../unit.js';

/** Takes away the sessions that were over before this unit; nobody can use them again. */
export async function removeEndedSessions(unit: Unit): Promise<void> {
  await unit.remove(SessionRow, { expiresAt: LessThanOrEqual(unit.at) });
}
