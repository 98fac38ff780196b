import { setTimeout as pass } from 'node:timers/promises';
import { DelayedError, type Job, Queue, Worker } from 'bullmq';
import { Redis } from 'ioredis';
import { partsOf } from '../core/parts.js';
import { epochMs } from '../core/time/instant.js';
import type { Changed } from '../store/changed.js';
import { type WaitingJob, waitingJobs } from '../store/questions/jobs.js';
import { DoneMarks } from './done-marks.js';
import { markHanded, takeBack } from './handed.js';
import { JobReads } from './job-reads.js';
import { JOB_KINDS, type JobKind, kindOf } from './names.js';
import { type JobRows, perform } from './perform.js';
import type { JobRunner, Work } from './runner.js';
import { Turns } from './turns.js';

/** How many jobs of each kind a process does at once; the quick ones mostly wait for the database. */
export const BULL_AT_ONCE = { quick: 200, outward: 4, long: 2 } as const;
const HANDED_AT_A_TIME = 1_000;
/** Redis does one piece while the next is written: in a single one each would wait for the other. */
const A_PIECE = 100;
const COMMAND_MS = 5_000;
const AGAIN_MS = 5_000;
const STOP_MS = 20_000;

export interface QueueAddress {
  url: string;
  /** Stands before every key, so that several installations can share a Redis. */
  prefix: string;
  /** False hands jobs over and leaves doing them to other processes. */
  works: boolean;
}

/** What a job carries in Redis: which row to load. */
interface Named {
  laboratoryId: string;
  id: string;
}

/**
 * Hands waiting rows over to BullMQ and, where this process works, does what BullMQ delivers. The rows say what is to be
 * done and when; Redis holds copies, which a start or a new connection hands over again, single by their id.
 */
export class BullRunner implements JobRunner {
  private readonly turns = new Turns(() => this.handOver());
  private readonly marks: DoneMarks;
  private readonly producer: Redis;
  private readonly queues: Record<JobKind, Queue<Named>>;
  private readonly reads: JobReads;
  private readonly rows: JobRows;
  private consumer: { redis: Redis; workers: Worker<Named>[] } | null = null;
  private timer: NodeJS.Timeout | undefined;
  private started = false;
  private away = false;
  /** True while Redis may lack what the rows say that it holds. */
  private doubtful = true;

  private readonly work: Work;

  constructor(
    work: Work,
    private readonly address: QueueAddress,
  ) {
    this.work = { ...work, stopping: () => !this.started };
    this.marks = new DoneMarks(work.store, (error) =>
      work.warn(`Jobs that are done wait to be noted until the database answers again: ${error.message}`),
    );
    // Without an offline queue a dead Redis refuses at once; with one, a command would wait for it for ever.
    this.producer = new Redis(address.url, {
      lazyConnect: true,
      enableOfflineQueue: false,
      maxRetriesPerRequest: 0,
      commandTimeout: COMMAND_MS,
      retryStrategy,
    });
    this.producer.on('error', this.failed).on('ready', this.connected);
    this.queues = { quick: this.produce('quick'), outward: this.produce('outward'), long: this.produce('long') };
    this.reads = new JobReads(work.store);
    this.rows = { read: this.reads.now, done: this.marks.add };
  }

  start(): Promise<void> {
    this.started = true;
    this.work.store.feed.on('changed', this.heard).on('missed', this.ask);
    this.producer.connect().catch(this.failed);
    if (this.address.works) this.consumer = this.consume();
    return Promise.resolve();
  }

  async stop(): Promise<void> {
    if (!this.started) return;
    this.started = false;
    this.work.store.feed.off('changed', this.heard).off('missed', this.ask);
    await this.turns.ask();
    clearTimeout(this.timer);
    if (this.consumer) {
      const { redis, workers } = this.consumer;
      const away = redis.status !== 'ready';
      // A worker cannot hand back what it does to a Redis that is away; it is delivered again later.
      const closed = Promise.all(workers.map((worker) => worker.close(away)));
      await Promise.race([closed, pass(STOP_MS, undefined, { ref: false })]);
      redis.disconnect();
    }
    await this.marks.flush();
    await Promise.all(Object.values(this.queues).map((queue) => queue.close()));
    this.producer.disconnect();
  }

  async healthy(): Promise<boolean> {
    try {
      await this.producer.ping();
      return this.consumer === null || this.consumer.workers.every((worker) => worker.isRunning());
    } catch {
      return false;
    }
  }

  private readonly ask = (): void => {
    void this.turns.ask();
  };

  private readonly heard = ({ jobs }: Changed): void => {
    if (jobs) this.ask();
  };

  private readonly connected = (): void => {
    this.away = false;
    this.doubtful = true;
    this.ask();
  };

  private readonly failed = (error: Error): void => {
    if (!this.started || this.away) return;
    this.away = true;
    this.work.warn(`Jobs wait in the database until the queue takes them again: ${error.message || error.name}`);
  };

  private async handOver(): Promise<void> {
    // A connection that comes to be asks again.
    if (!this.started || this.producer.status !== 'ready') return;
    const { store } = this.work;
    const doubtful = this.doubtful;
    this.doubtful = false;
    try {
      if (doubtful) await takeBack(store);
      while (await this.handOverOnce());
      this.away = false;
    } catch (error) {
      this.doubtful ||= doubtful;
      this.failed(error as Error);
      clearTimeout(this.timer);
      this.timer = setTimeout(this.ask, AGAIN_MS).unref();
    }
  }

  /**
   * Hands over what waits; false when nothing did. Each part is marked when the next has been handed over: most quick jobs
   * are done by then, and what is done needs no mark.
   */
  private async handOverOnce(): Promise<boolean> {
    const { store, clock } = this.work;
    const marks: Promise<void>[] = [];
    let before: WaitingJob[] = [];
    try {
      for (;;) {
        const jobs = await waitingJobs(store, HANDED_AT_A_TIME, before.at(-1));
        if (jobs.length === 0) break;
        this.reads.ahead(jobs.filter(({ laboratoryId, id }) => !this.marks.has(laboratoryId, id)));
        const now = epochMs(clock.now());
        for (const kind of JOB_KINDS) {
          const part = jobs.filter(({ name }) => kindOf(name) === kind);
          await Promise.all(
            partsOf(part, A_PIECE).map((jobs) => this.queues[kind].addBulk(jobs.map((job) => copyOf(job, now)))),
          );
        }
        marks.push(this.marked(before));
        before = jobs;
      }
    } finally {
      await Promise.all([...marks, this.marked(before)]);
    }
    return before.length > 0;
  }

  /** Notes that the queue holds these, but for those that were done meanwhile. */
  private marked(jobs: readonly WaitingJob[]): Promise<void> {
    const mark = markHanded(
      this.work.store,
      jobs.filter(({ laboratoryId, id }) => !this.marks.has(laboratoryId, id)),
    );
    // Asked for by whoever waits for all of them; until then nobody may hear that one failed.
    mark.catch(() => undefined);
    return mark;
  }

  private produce(kind: JobKind): Queue<Named> {
    const queue = new Queue<Named>(queueOf(kind), {
      connection: this.producer,
      prefix: this.address.prefix,
      // Each of these would ask Redis something before the first job, and fail for good if it is away then.
      skipVersionCheck: true,
      skipWaitingForReady: true,
      skipMetasUpdate: true,
    });
    return queue.on('error', this.failed);
  }

  private consume(): { redis: Redis; workers: Worker<Named>[] } {
    const redis = new Redis(this.address.url, { maxRetriesPerRequest: null, retryStrategy });
    redis.on('error', this.failed);
    const workers = JOB_KINDS.map((kind) => {
      const worker = new Worker<Named>(queueOf(kind), (job, token) => this.do(job, token), {
        connection: redis,
        prefix: this.address.prefix,
        concurrency: BULL_AT_ONCE[kind],
        // When to give a job up is told by its row.
        maxStalledCount: Number.MAX_SAFE_INTEGER,
      });
      return worker.on('error', this.failed);
    });
    return { redis, workers };
  }

  private async do(job: Job<Named>, token: string | undefined): Promise<void> {
    const { laboratoryId, id } = job.data;
    if (this.marks.has(laboratoryId, id)) return;
    const waitMs = await this.performed(laboratoryId, id);
    if (waitMs === null) return;
    await job.moveToDelayed(Date.now() + waitMs, token);
    throw new DelayedError();
  }

  /** In how long a job is to be done again; null when it is done. A database that is away is waited for without end. */
  private async performed(laboratoryId: string, id: string): Promise<number | null> {
    try {
      const again = await perform(this.work, laboratoryId, id, this.rows);
      return again === null ? null : Math.max(epochMs(again) - epochMs(this.work.clock.now()), 1);
    } catch {
      return AGAIN_MS;
    }
  }
}

function retryStrategy(times: number): number {
  return Math.min(times * 200, 5_000);
}

function queueOf(kind: JobKind): string {
  return `${kind}-jobs`;
}

/** A row's copy for Redis, as short as can be: each is read and written there several times. */
function copyOf(row: WaitingJob, now: number) {
  const delay = epochMs(row.dueAt) - now;
  return {
    name: row.name,
    data: { laboratoryId: row.laboratoryId, id: row.id },
    opts: {
      // BullMQ keeps the colon for itself.
      jobId: encodeURIComponent(row.id),
      ...(delay > 0 && { delay }),
      removeOnComplete: true,
      removeOnFail: true,
    },
  };
}
