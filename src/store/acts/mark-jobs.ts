import type { Instant } from '../../core/time/instant.js';
import { placesOf } from '../sqlite-script.js';
import type { Unit } from '../unit.js';

/** Notes in one statement that a queue holds these jobs; one that it has done meanwhile stays done. */
export async function markHandedOver(unit: Unit, ids: readonly string[]): Promise<void> {
  await mark(unit, ids, `state = 'handed'`, `AND state = 'waiting'`);
}

/** Notes in one statement that these jobs are done. */
export async function markDone(unit: Unit, ids: readonly string[]): Promise<void> {
  await mark(unit, ids, `state = 'done', error = NULL`, '');
}

/** Clears away jobs that are done and were due before; those that failed stay until somebody looked. */
export async function forgetDone(unit: Unit, before: Instant): Promise<void> {
  const manager = await unit.ready();
  await manager.query(`DELETE FROM job WHERE state = $1 AND due_at < $2 AND laboratory_id = $3`, [
    'done',
    before,
    unit.laboratoryId,
  ]);
}

/** By hand, since it is asked for every job. */
async function mark(unit: Unit, ids: readonly string[], change: string, where: string): Promise<void> {
  const manager = await unit.ready();
  const values: unknown[] = [unit.laboratoryId];
  const places = placesOf(unit.connection, ids, values);
  await manager.query(`UPDATE job SET ${change} WHERE laboratory_id = $1 AND id IN (${places}) ${where}`, values);
}
