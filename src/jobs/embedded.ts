import { epochMs } from '../core/time/instant.js';
import type { Changed } from '../store/changed.js';
import { markDone } from '../store/acts/mark-jobs.js';
import { dueJobs, nextDue } from '../store/questions/jobs.js';
import type { JobRow } from '../store/rows/jobs.entity.js';
import { takeBack } from './handed.js';
import { JobReads } from './job-reads.js';
import { JOB_KINDS, type JobKind, kindOf, namesOf } from './names.js';
import { type JobRows, perform } from './perform.js';
import type { JobRunner, Work } from './runner.js';
import { Turns } from './turns.js';

/** How many jobs of each kind are done at once. */
export const EMBEDDED_AT_ONCE = { quick: 4, outward: 2, long: 2 } as const;
/** A longer timer fires at once; the look that it ends in sets the next one. */
const LONGEST_TIMER_MS = 2 ** 31 - 1;
const DATABASE_AWAY_MS = 5_000;

/** Does due jobs in this process, woken by commits and by one timer set to the earliest due time. */
export class EmbeddedRunner implements JobRunner {
  private readonly running = new Map<string, { kind: JobKind; done: Promise<void> }>();
  private readonly turns = new Turns(() => this.look());
  private timer: NodeJS.Timeout | undefined;
  private started = false;
  private databaseAway = false;

  private readonly reads: JobReads;

  private readonly work: Work;

  constructor(work: Work) {
    this.work = { ...work, stopping: () => !this.started };
    this.reads = new JobReads(work.store);
  }

  async start(): Promise<void> {
    await takeBack(this.work.store);
    this.started = true;
    this.work.store.feed.on('changed', this.heard).on('missed', this.wake);
    this.wake();
  }

  async stop(): Promise<void> {
    this.started = false;
    this.work.store.feed.off('changed', this.heard).off('missed', this.wake);
    await this.turns.ask();
    await Promise.all([...this.running.values()].map(({ done }) => done));
    clearTimeout(this.timer);
  }

  healthy(): Promise<boolean> {
    return Promise.resolve(this.started && !this.databaseAway);
  }

  /** Looks for what is due by now; whoever moves a clock by hand calls it. */
  readonly wake = (): void => {
    void this.turns.ask();
  };

  private readonly heard = ({ jobs }: Changed): void => {
    if (jobs) this.wake();
  };

  /** Begins what is due as far as hands are free (who finishes looks again) and sets the timer to what comes next. */
  private async look(): Promise<void> {
    const { store, clock } = this.work;
    if (!this.started) return;
    try {
      const now = clock.now();
      for (const kind of JOB_KINDS) {
        const free = EMBEDDED_AT_ONCE[kind] - this.underWay(kind);
        const which = { ...namesOf(kind), except: [...this.running.keys()] };
        if (free > 0) for (const job of await dueJobs(store, now, free, which)) this.begin(job);
      }
      const next = await nextDue(store, now);
      clearTimeout(this.timer);
      if (next !== null) this.wakeIn(epochMs(next) - epochMs(now));
      this.databaseAway = false;
    } catch (error) {
      this.wait(error);
    }
  }

  private underWay(kind: JobKind): number {
    return [...this.running.values()].filter((job) => job.kind === kind).length;
  }

  private begin({ id, laboratoryId, name }: JobRow): void {
    const rows: JobRows = {
      read: this.reads.now,
      done: () => this.work.store.housekeep(laboratoryId, (unit) => markDone(unit, [id])),
    };
    const done = perform(this.work, laboratoryId, id, rows).then(
      () => {
        this.running.delete(id);
        this.wake();
      },
      (error: unknown) => {
        this.running.delete(id);
        this.wait(error);
      },
    );
    this.running.set(id, { kind: kindOf(name), done });
  }

  private wait(error: unknown): void {
    if (!this.databaseAway) {
      this.work.warn(
        `Jobs wait until the database answers again: ${error instanceof Error ? error.message : String(error)}`,
      );
    }
    this.databaseAway = true;
    this.wakeIn(DATABASE_AWAY_MS);
  }

  private wakeIn(ms: number): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(this.wake, Math.min(ms, LONGEST_TIMER_MS)).unref();
  }
}
