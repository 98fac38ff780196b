import { type Instant, plusMs } from '../core/time/instant.js';
import { JOB_GIVEN_UP } from '../core/webhook/topics.js';
import type { JobNow } from '../store/questions/jobs.js';
import { JobRow } from '../store/rows/jobs.entity.js';
import type { Unit } from '../store/unit.js';
import type { Work } from './runner.js';

const LONGEST_WAIT_MS = 3_600_000;

/**
 * Does one job as its row says and answers when it is to be done again, or null when nothing is left to do: done now or
 * before, given up, or gone. Throws only when the database cannot be reached.
 */
export async function perform(
  work: Work,
  laboratoryId: string,
  id: string,
  { read, done }: JobRows,
): Promise<Instant | null> {
  const { store, clock, checkpoints, filesDir, mail, handlers, stopping } = work;
  const job = await read(id);
  if (!job || job.state === 'done' || job.state === 'failed') return null;
  if (job.dueAt > clock.now()) return job.dueAt;
  try {
    const handler = handlers[job.name];
    if (!handler) throw new Error(`this version knows no job "${job.name}"`);
    const context = { store, clock, checkpoints, filesDir, mail, laboratoryId };
    await handler(job.target, { ...context, ...(stopping && { stopping }) });
  } catch (error) {
    return store.housekeep(laboratoryId, (unit) => failedOnce(unit, id, error, work));
  }
  await done(laboratoryId, id);
  return null;
}

/** How the row of a job is read and noted as done; one whose note is lost is done once more, which a handler must bear. */
export interface JobRows {
  read: (id: string) => Promise<JobNow | null>;
  done: (laboratoryId: string, id: string) => Promise<void>;
}

async function failedOnce(
  unit: Unit,
  id: string,
  error: unknown,
  { clock, patience, patienceOf }: Work,
): Promise<Instant | null> {
  const job = await unit.need(JobRow, { id }, `job ${id}`);
  const message = error instanceof Error ? error.message : String(error);
  const attempts = job.attempts + 1;
  const { attempts: most, firstMs } = patienceOf?.[job.name] ?? patience;
  if (attempts < most) {
    const dueAt = plusMs(clock.now(), Math.min(firstMs * 2 ** (attempts - 1), LONGEST_WAIT_MS));
    await unit.change(JobRow, { id }, { attempts, error: message, dueAt });
    return dueAt;
  }
  await unit.change(JobRow, { id }, { attempts, error: message, state: 'failed' });
  await unit.tell(
    `${JOB_GIVEN_UP}${id}`,
    `The job ${job.name} for ${job.target} was given up after ${attempts} attempts: ${message}. ` +
      `The record is untouched, but nobody will be told what the job was to tell: look for yourself, and ask your administrator about job ${id}.`,
  );
  return null;
}
