import { writeCheckpoint } from '../store/checkpoints/checkpoints.js';
import { needLaboratory } from '../store/questions/laboratories.js';
import { checkpointWanted } from './due.js';
import { JOB_NAMES } from './names.js';
import { queueNext } from './recurring.js';
import type { Handler } from './runner.js';

/** Signs how far the laboratory's record goes when it is time for it, and queues the next look. */
export const checkpoint: Handler = async (laboratoryId, { store, clock, checkpoints }) => {
  // First of all, so that a key which cannot be read does not end the row of checkpoints.
  const { zone } = await store.read(laboratoryId, needLaboratory);
  await store.housekeep(laboratoryId, (unit) => queueNext(unit, JOB_NAMES.checkpoint, zone, clock));
  await writeCheckpoint(store, checkpoints, laboratoryId, checkpointWanted);
};
