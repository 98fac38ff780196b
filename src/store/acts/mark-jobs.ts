import { In } from 'typeorm';
import { JobRow } from '../rows/jobs.entity.js';
import type { Unit } from '../unit.js';

/** Notes in one statement that a queue holds these jobs; one that it has done meanwhile stays done. */
export async function markHandedOver(unit: Unit, ids: readonly string[]): Promise<void> {
  await unit.change(JobRow, { id: In([...ids]), state: 'waiting' }, { state: 'handed' });
}

/** Notes in one statement that these jobs are done. */
export async function markDone(unit: Unit, ids: readonly string[]): Promise<void> {
  await unit.change(JobRow, { id: In([...ids]) }, { state: 'done', error: null });
}
