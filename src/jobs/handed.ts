import { markHandedOver } from '../store/acts/mark-jobs.js';
import { laboratoriesWithHandedJobs, type WaitingJob } from '../store/questions/jobs.js';
import { JobRow } from '../store/rows/jobs.entity.js';
import type { Store } from '../store/store.js';

/** Notes that a queue holds these jobs; one that it has done meanwhile stays done. */
export async function markHanded(store: Store, jobs: readonly WaitingJob[]): Promise<void> {
  for (const laboratoryId of new Set(jobs.map((job) => job.laboratoryId))) {
    const ids = jobs.flatMap((job) => (job.laboratoryId === laboratoryId ? [job.id] : []));
    await store.housekeep(laboratoryId, (unit) => markHandedOver(unit, ids));
  }
}

/** Makes all jobs that a queue holds, or may have lost, wait in the database again. */
export async function takeBack(store: Store): Promise<void> {
  for (const laboratoryId of await laboratoriesWithHandedJobs(store)) {
    await store.housekeep(laboratoryId, (unit) => unit.change(JobRow, { state: 'handed' }, { state: 'waiting' }));
  }
}
