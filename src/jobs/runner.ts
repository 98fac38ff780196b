import type { Clock } from '../clock.js';
import type { CheckpointPlaces, MailSettings } from '../config.js';
import type { Store } from '../store/store.js';

/** Does the jobs that acts have queued, each at its time or as soon after it as can be. */
export interface JobRunner {
  start(): Promise<void>;
  /** Lets what is under way finish; what is left waits in the database. */
  stop(): Promise<void>;
  healthy(): Promise<boolean>;
}

export interface HandlerContext {
  store: Store;
  clock: Clock;
  checkpoints: CheckpointPlaces;
  /** Folder of pictures and documents. */
  filesDir: string;
  /** Null where mail is not set up. */
  mail: MailSettings | null;
  laboratoryId: string;
  /** True once the process is to end: long work then stops where another can go on. */
  stopping?: () => boolean;
}

/** Loads `target` anew and announces what holds now. May run twice, at once or late, with the effect of one. */
export type Handler = (target: string, context: HandlerContext) => Promise<unknown>;

/** Handlers by the name of the job. */
export type Handlers = Readonly<Record<string, Handler>>;

/** How often a job that throws is tried, and how long after the first failure it is tried again; then doubling. */
export interface Patience {
  attempts: number;
  firstMs: number;
}

/** All that a runner works with. */
export interface Work {
  store: Store;
  clock: Clock;
  checkpoints: CheckpointPlaces;
  filesDir: string;
  mail: MailSettings | null;
  stopping?: () => boolean;
  handlers: Handlers;
  patience: Patience;
  /** By the name of the job, where it differs. */
  patienceOf?: Readonly<Record<string, Patience>>;
  /** Told in words when the database or the queue stays away. */
  warn: (message: string) => void;
}
