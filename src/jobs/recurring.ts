import type { Clock } from '../clock.js';
import type { Instant } from '../core/time/instant.js';
import { laboratoriesHere } from '../store/questions/laboratories.js';
import { JobRow } from '../store/rows/jobs.entity.js';
import type { Store } from '../store/store.js';
import type { Unit } from '../store/unit.js';
import { nextAlertsLook, nextCheckpointLook, nextControlsLook, nextRecordCheck } from './due.js';
import { JOB_NAMES } from './names.js';

type RecurringName = (typeof JOB_NAMES)['recordCheck' | 'checkpoint' | 'alerts' | 'controlTasks'];

/** When each job that every laboratory has, again and again, comes next; one id each time, so that it is queued once. */
const NEXT: Record<
  RecurringName,
  (laboratoryId: string, zone: string, now: Instant) => { id: string; dueAt: Instant }
> = {
  [JOB_NAMES.recordCheck]: nextRecordCheck,
  [JOB_NAMES.checkpoint]: nextCheckpointLook,
  [JOB_NAMES.alerts]: nextAlertsLook,
  [JOB_NAMES.controlTasks]: nextControlsLook,
};
const NAMES = Object.keys(NEXT) as RecurringName[];

/** Queues the next job of that name unless it is queued. */
export async function queueNext(unit: Unit, name: RecurringName, zone: string, clock: Clock): Promise<void> {
  const { id, dueAt } = NEXT[name](unit.laboratoryId, zone, clock.now());
  if (await unit.one(JobRow, { id })) return;
  await unit.enqueue(name, unit.laboratoryId, dueAt, id);
}

/** Queues the first of each for a laboratory that is set up. */
export async function queueFirst(unit: Unit, zone: string, clock: Clock): Promise<void> {
  for (const name of NAMES) await queueNext(unit, name, zone, clock);
}

/** Queues, for every laboratory, each of which none is ahead of it. */
export async function queueRecurring(store: Store, clock: Clock): Promise<void> {
  for (const { id, zone } of await store.read('', laboratoriesHere)) {
    await store.housekeep(id, async (unit) => {
      for (const name of NAMES) if (!(await isAhead(unit, name))) await queueNext(unit, name, zone, clock);
    });
  }
}

async function isAhead(unit: Unit, name: RecurringName): Promise<boolean> {
  for (const state of ['waiting', 'handed'] as const) if (await unit.one(JobRow, { name, state })) return true;
  return false;
}
