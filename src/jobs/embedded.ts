import { epochMs } from '../core/time/instant.js';
import type { Changed } from '../store/changed.js';
import { markDone } from '../store/acts/mark-jobs.js';
import { dueJobs, nextDue } from '../store/questions/jobs.js';
import type { JobRow } from '../store/rows/jobs.entity.js';
import { takeBack } from './handed.js';
import { perform } from './perform.js';
import type { JobRunner, Work } from './runner.js';
import { Turns } from './turns.js';

const AT_ONCE = 4;
/** A longer timer fires at once; the look that it ends in sets the next one. */
const LONGEST_TIMER_MS = 2 ** 31 - 1;
const DATABASE_AWAY_MS = 5_000;

/** Does due jobs in this process, woken by commits and by one timer set to the earliest due time. */
export class EmbeddedRunner implements JobRunner {
  private readonly running = new Map<string, Promise<void>>();
  private readonly turns = new Turns(() => this.look());
  private timer: NodeJS.Timeout | undefined;
  private started = false;
  private databaseAway = false;

  constructor(private readonly work: Work) {}

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
    await Promise.all(this.running.values());
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
    const free = AT_ONCE - this.running.size;
    if (!this.started || free === 0) return;
    try {
      const now = clock.now();
      for (const job of await dueJobs(store, now, free, [...this.running.keys()])) this.begin(job);
      const next = await nextDue(store, now);
      clearTimeout(this.timer);
      if (next !== null) this.wakeIn(epochMs(next) - epochMs(now));
      this.databaseAway = false;
    } catch (error) {
      this.wait(error);
    }
  }

  private begin({ id, laboratoryId }: JobRow): void {
    const mark = (): Promise<void> => this.work.store.housekeep(laboratoryId, (unit) => markDone(unit, [id]));
    const done = perform(this.work, laboratoryId, id, mark).then(
      () => {
        this.running.delete(id);
        this.wake();
      },
      (error: unknown) => {
        this.running.delete(id);
        this.wait(error);
      },
    );
    this.running.set(id, done);
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
