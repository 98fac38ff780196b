import type { Clock } from '../clock.js';
import type { CheckpointPlaces, MailSettings } from '../config.js';
import type { Store } from '../store/store.js';
import { EmbeddedRunner } from './embedded.js';
import { HANDLERS, PATIENCE_OF } from './handlers.js';
import { queueRecurring } from './recurring.js';
import type { JobRunner, Work } from './runner.js';

const PATIENCE = { attempts: 8, firstMs: 1_000 };

/** Where jobs are done: in this process without an address, else by worker processes through Redis; and with which files. */
export interface JobsAddress {
  queueUrl?: string | null;
  /** Stands before every key in Redis. */
  prefix: string;
  /** True in a worker process. */
  works?: boolean;
  checkpoints: CheckpointPlaces;
  filesDir: string;
  mail: MailSettings | null;
  warn: (message: string) => void;
}

/** Starts to do, or to hand over, the jobs that acts queue. */
export async function startJobs(address: JobsAddress, store: Store, clock: Clock): Promise<JobRunner> {
  await queueRecurring(store, clock);
  const { checkpoints, filesDir, mail, warn } = address;
  const work: Work = {
    store,
    clock,
    checkpoints,
    filesDir,
    mail,
    handlers: HANDLERS,
    patience: PATIENCE,
    patienceOf: PATIENCE_OF,
    warn,
  };
  const runner = address.queueUrl
    ? await bullRunner(work, { url: address.queueUrl, prefix: address.prefix, works: address.works ?? false })
    : new EmbeddedRunner(work);
  await runner.start();
  return runner;
}

/** Loaded only where it is used: the embedded program starts without Redis's libraries. */
async function bullRunner(work: Work, address: { url: string; prefix: string; works: boolean }): Promise<JobRunner> {
  const { BullRunner } = await import('./bull.js');
  return new BullRunner(work, address);
}
