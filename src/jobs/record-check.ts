import type { Clock } from '../clock.js';
import { needLaboratory, laboratoriesHere } from '../store/questions/laboratories.js';
import { type RecordFault, verifyRecord } from '../store/questions/verify.js';
import { JobRow } from '../store/rows/jobs.entity.js';
import type { Store } from '../store/store.js';
import type { Unit } from '../store/unit.js';
import type { View } from '../store/view.js';
import { nextRecordCheck } from './due.js';
import { JOB_NAMES } from './names.js';
import type { Handler } from './runner.js';

/** Checks the laboratory's record, tells of its first fault, and queues the check of the next day. */
export const recordCheck: Handler = async (laboratoryId, { store, clock }) => {
  // First of all, so that a check which cannot be done does not end the row of checks.
  const { zone } = await store.read(laboratoryId, needLaboratory);
  await store.housekeep(laboratoryId, (unit) => queueNextRecordCheck(unit, zone, clock));
  const fault = await store.read(laboratoryId, firstFault);
  if (!fault) return;
  await store.housekeep(laboratoryId, (unit) =>
    unit.tell(
      `${JOB_NAMES.recordCheck}:${fault.seq}:${fault.code}`,
      `The record does not verify: ${fault.message}. Keep the database as it is, tell the director, and compare it with the last backup that verifies.`,
    ),
  );
};

async function firstFault(view: View): Promise<RecordFault | null> {
  for await (const fault of verifyRecord(view).faults) return fault;
  return null;
}

/** Queues tomorrow's check unless it is queued. */
export async function queueNextRecordCheck(unit: Unit, zone: string, clock: Clock): Promise<void> {
  const { id, dueAt } = nextRecordCheck(unit.laboratoryId, zone, clock.now());
  if (await unit.one(JobRow, { id })) return;
  await unit.enqueue(JOB_NAMES.recordCheck, unit.laboratoryId, dueAt, id);
}

/** Queues a check for every laboratory that has none ahead of it. */
export async function queueRecordChecks(store: Store, clock: Clock): Promise<void> {
  for (const { id, zone } of await store.read('', laboratoriesHere)) {
    await store.housekeep(id, async (unit) => {
      for (const state of ['waiting', 'handed'] as const) {
        if (await unit.one(JobRow, { name: JOB_NAMES.recordCheck, state })) return;
      }
      await queueNextRecordCheck(unit, zone, clock);
    });
  }
}
