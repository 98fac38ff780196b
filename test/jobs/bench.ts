import { SystemClock, type Clock } from '../../src/clock.js';
import { type Instant, plusMs } from '../../src/core/time/instant.js';
import type { Handler, Handlers, JobRunner, Patience, Work } from '../../src/jobs/runner.js';
import { connect } from '../../src/store/data-source.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { JobRow, NoticeRow } from '../../src/store/rows/jobs.entity.js';
import { Store } from '../../src/store/store.js';
import type { Actor } from '../../src/store/unit.js';
import { placesIn } from '../support/checkpoints.js';
import type { FreshDatabase } from '../support/databases.js';
import { until } from '../support/until.js';

export const LABORATORY = 'outer-quill';
const actor: Actor = { laboratoryId: LABORATORY, personId: 'ada', deviceId: null };

/** Makes runners of one kind that share a queue of their own, and does away with it. */
export interface Kind {
  runner: (work: Work) => JobRunner;
  close: () => Promise<void>;
}

/** A database with a laboratory, a handler that notes its calls, and runners on them. */
export class Bench {
  /** Targets in the order in which the handler was called, and when by the system's clock. */
  readonly calls: { target: string; at: number }[] = [];
  readonly warnings: string[] = [];
  private readonly stores: Store[] = [];
  private readonly runners: JobRunner[] = [];

  private constructor(
    private readonly database: FreshDatabase,
    private readonly kind: Kind,
    readonly store: Store,
    readonly clock: Clock,
  ) {
    this.stores.push(store);
  }

  static async open(database: FreshDatabase, kind: Kind, clock: Clock = new SystemClock()): Promise<Bench> {
    const bench = new Bench(database, kind, await openStore(database, clock), clock);
    await bench.store.housekeep(LABORATORY, (unit) =>
      addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Europe/Lisbon', demo: true, driftPpm: 100 }),
    );
    return bench;
  }

  /** A store of another process on the same database. */
  async otherStore(): Promise<Store> {
    const store = await openStore(this.database, this.clock);
    this.stores.push(store);
    return store;
  }

  /** A runner, not started; `handle` runs after the call was noted. */
  runner({
    handle = () => Promise.resolve(),
    patience = { attempts: 3, firstMs: 50 },
    handlers = {},
    store = this.store,
  }: { handle?: Handler; patience?: Patience; handlers?: Handlers; store?: Store } = {}): JobRunner {
    const note: Handler = (target, context) => {
      this.calls.push({ target, at: Date.now() });
      return handle(target, context);
    };
    const runner = this.kind.runner({
      store,
      clock: this.clock,
      checkpoints: placesIn('/nonexistent'),
      filesDir: '/nonexistent',
      mail: null,
      handlers: { note, ...handlers },
      patience,
      warn: (message) => this.warnings.push(message),
    });
    this.runners.push(runner);
    return runner;
  }

  async started(options: Parameters<Bench['runner']>[0] = {}): Promise<JobRunner> {
    const runner = this.runner(options);
    await runner.start();
    return runner;
  }

  /** One act that queues a job. */
  async act(target: string, job: { name?: string; inMs?: number; id?: string } = {}): Promise<Instant> {
    const [dueAt] = await this.actOfSeveral([{ target, ...job }]);
    return dueAt!;
  }

  /** One act that queues several, their times counted from one moment; answers when each is due. */
  actOfSeveral(jobs: readonly { target: string; name?: string; inMs?: number; id?: string }[]): Promise<Instant[]> {
    return this.store.change(actor, 'test.act', async (unit) => {
      unit.about('test', jobs.map(({ target }) => target).join(', '));
      const due: Instant[] = [];
      for (const { target, name = 'note', inMs = 0, id } of jobs) {
        const dueAt = plusMs(unit.at, inMs);
        await unit.enqueue(name, target, dueAt, id);
        due.push(dueAt);
      }
      return due;
    });
  }

  /** Makes all that wait for their time due now, as if it had passed. */
  fallDue(): Promise<void> {
    return this.store.housekeep(LABORATORY, async (unit) => {
      await unit.change(JobRow, { state: 'handed' }, { dueAt: unit.at });
    });
  }

  get targets(): string[] {
    return this.calls.map(({ target }) => target);
  }

  jobs(): Promise<JobRow[]> {
    return this.store.read(LABORATORY, (view) => view.all(JobRow));
  }

  notices(): Promise<NoticeRow[]> {
    return this.store.read(LABORATORY, (view) => view.all(NoticeRow));
  }

  async states(): Promise<Record<JobRow['state'], number>> {
    const count = { waiting: 0, handed: 0, done: 0, failed: 0 };
    for (const { state } of await this.jobs()) count[state] += 1;
    return count;
  }

  async allDone(): Promise<void> {
    await until('all jobs are done', async () => {
      const { waiting, handed } = await this.states();
      return waiting + handed === 0;
    });
  }

  async close(): Promise<void> {
    await Promise.all(this.runners.map((runner) => runner.stop()));
    await Promise.all(this.stores.map((store) => store.close()));
    await this.kind.close();
    await this.database.drop();
  }
}

async function openStore(database: FreshDatabase, clock: Clock): Promise<Store> {
  const store = new Store(await connect(database.address), clock);
  await store.listen();
  return store;
}
