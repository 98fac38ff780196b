import type { CheckpointPlaces } from '../config.js';
import { believed } from '../core/record/checkpoint.js';
import { plusMs } from '../core/time/instant.js';
import { forgetDone } from '../store/acts/mark-jobs.js';
import { signedHere } from '../store/checkpoints/checkpoints.js';
import { publicKeysHere } from '../store/checkpoints/keys.js';
import { coverFaults } from '../store/questions/checkpoints.js';
import { sweepFiles } from '../store/files/sweep.js';
import { needLaboratory } from '../store/questions/laboratories.js';
import { proveBalances } from '../store/questions/ledger.js';
import { verifyRecord } from '../store/questions/verify.js';
import type { View } from '../store/view.js';
import { JOB_NAMES } from './names.js';
import { queueNext } from './recurring.js';
import type { Handler } from './runner.js';

interface Fault {
  seq: number;
  code: string;
  message: string;
}

/** Long enough to see what was done lately; what it did stands in the record. */
const DONE_KEPT_MS = 30 * 86_400_000;

/**
 * Checks the laboratory's record, tells of its first fault, queues the check of the next day, and clears away lost files
 * and jobs that were done long ago.
 */
export const recordCheck: Handler = async (laboratoryId, { store, clock, checkpoints, filesDir }) => {
  // First of all, so that a check which cannot be done does not end the row of checks.
  const { zone } = await store.read(laboratoryId, needLaboratory);
  await store.housekeep(laboratoryId, (unit) => queueNext(unit, JOB_NAMES.recordCheck, zone, clock));
  const fault = await store.read(laboratoryId, (view) => firstFault(view, checkpoints));
  if (fault)
    await store.housekeep(laboratoryId, (unit) =>
      unit.tell(
        `${JOB_NAMES.recordCheck}:${fault.seq}:${fault.code}`,
        `The record does not verify: ${fault.message}. Keep the database as it is, tell the director, and compare it with the last backup that verifies.`,
      ),
    );
  await sweepFiles(store, filesDir, Date.now());
  await store.housekeep(laboratoryId, (unit) => forgetDone(unit, plusMs(clock.now(), -DONE_KEPT_MS)));
};

async function firstFault(view: View, places: CheckpointPlaces): Promise<Fault | null> {
  for await (const fault of verifyRecord(view).faults) return fault;
  const { checkpoints, faults } = believed(await signedHere(view, places), publicKeysHere(places));
  const [cover] = await coverFaults(view, checkpoints);
  if (cover) return cover;
  const [balance] = await proveBalances(view);
  if (balance) return { seq: balance.seq, code: 'false-balance', message: balance.message };
  const [signing] = faults;
  if (!signing) return null;
  const { checkpoint, place, code, message } = signing;
  return { seq: checkpoint?.seq ?? 0, code, message: `checkpoint ${place}: ${message}` };
}
