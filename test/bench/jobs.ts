import { fork } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Queue, Worker } from 'bullmq';
import { Redis } from 'ioredis';
import { SystemClock } from '../../src/clock.js';
import { ALWAYS_OPEN } from '../../src/core/controls/calendar.js';
import { schedule } from '../../src/core/controls/schedule.js';
import { plusDays } from '../../src/core/time/days.js';
import { BULL_AT_ONCE, BullRunner } from '../../src/jobs/bull.js';
import { writeTasks, type TaskToWrite } from '../../src/store/acts/write-tasks.js';
import { connect, type DatabaseAddress } from '../../src/store/data-source.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { Store } from '../../src/store/store.js';
import { placesIn } from '../support/checkpoints.js';

const LABORATORY = 'outer-quill';
const TASKS = Number(process.env['BENCH_TASKS'] ?? 100_000);
const JOBS = Number(process.env['BENCH_JOBS'] ?? 10_000);
const ROUNDS = 5;
/** Jobs that one act queues; a bare queue takes as many at a time. */
const AN_ACT = 50;
const AT_ONCE = 2_000;
const PROTOCOLS = 100;

/** Every task of a hundred protocols, each with one control a day, for as many days as make so many. */
function tasks(): TaskToWrite[] {
  const days = Math.ceil(TASKS / PROTOCOLS);
  const from = '2026-01-01';
  return Array.from({ length: PROTOCOLS }, (_, n) =>
    schedule(
      {
        plan: {
          protocolId: `stain-${n}`,
          use: { words: 'one run', counts: 'run' },
          controls: [
            {
              id: 'daily',
              kind: 'positive',
              material: 'appendix',
              expected: 'crisp',
              criteria: [],
              required: true,
              clocks: [{ when: 'each day of use', clause: '42 CFR 493.1256(e)(2)' }],
              secondReader: false,
              pictures: false,
            },
          ],
        },
        since: '2025-12-31T00:00:00.000Z',
        uses: [],
        results: [],
        lots: [],
        services: [],
        calendar: ALWAYS_OPEN,
        zone: 'Europe/Lisbon',
      },
      { from, to: plusDays(from, days - 1) },
      '2026-01-01T12:00:00.000Z',
    ),
  ).flat();
}

async function openStore(address: DatabaseAddress): Promise<Store> {
  return new Store(await connect(address), new SystemClock());
}

/** A worker process that writes all tasks down, beside another that does the same. */
async function work(address: DatabaseAddress): Promise<void> {
  const all = tasks();
  // The first one has brought the schema up to date.
  const store = await openStore(address);
  process.send?.('ready');
  await once(process, 'message');
  for (let from = 0; from < all.length; from += AT_ONCE) {
    const write = () => store.housekeep(LABORATORY, (unit) => writeTasks(unit, all.slice(from, from + AT_ONCE)));
    // SQLite gives up on whom another writer has kept waiting; the job runner tries again, and so does this.
    for (let tries = 1; ; tries++) {
      try {
        await write();
        break;
      } catch (error) {
        if (tries === 20) throw error;
      }
    }
  }
  await store.close();
  process.send?.('done');
}

async function race(name: string, address: DatabaseAddress): Promise<void> {
  const store = await openStore(address);
  await store.housekeep(LABORATORY, (unit) =>
    addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Europe/Lisbon', demo: true, driftPpm: 100 }),
  );
  const workers = [0, 1].map(() =>
    fork(fileURLToPath(import.meta.url), [], { env: { ...process.env, BENCH_ADDRESS: JSON.stringify(address) } }),
  );
  await Promise.all(workers.map((worker) => once(worker, 'message')));
  const begin = performance.now();
  const done = workers.map((worker) => once(worker, 'message'));
  for (const worker of workers) worker.send('go');
  await Promise.all(done);
  const seconds = (performance.now() - begin) / 1000;
  const [row] = (await store.connections.reader.query(
    'SELECT COUNT(*) AS "all", COUNT(DISTINCT key) AS "once" FROM control_task',
  )) as { all: number | string; once: number | string }[];
  console.log(
    `  ${name.padEnd(38)}${Number(row?.all)} rows, ${Number(row?.once)} keys, ${seconds.toFixed(1)} s, two workers`,
  );
  await store.close();
}

/** Jobs a second from their rows through Redis to their end, beside the same jobs on bare BullMQ, in turns on one Redis. */
async function queues(url: string, address: DatabaseAddress): Promise<void> {
  const store = await openStore(address);
  const ratios: number[] = [];
  // The first round warms up what both use.
  for (let round = 0; round <= ROUNDS; round++) {
    const bare = await bareBull(url);
    const through = await outbox(url, store);
    if (round === 0) continue;
    ratios.push(through / bare);
    console.log(
      `  round ${round}: bare ${bare.toFixed(0)} a second, through the outbox ${through.toFixed(0)}, ratio ${(through / bare).toFixed(2)}`,
    );
  }
  await store.close();
  const median = ratios.sort((a, b) => a - b)[Math.floor(ROUNDS / 2)];
  console.log(`  middle ratio                            ${median?.toFixed(2)} (aim 0.8)`);
}

/** As it runs in the laboratory: acts queue jobs while others are handed over and done. */
async function outbox(url: string, store: Store): Promise<number> {
  const { finished, one } = countdown();
  const runner = new BullRunner(
    {
      store,
      clock: new SystemClock(),
      checkpoints: placesIn('/nonexistent'),
      mail: null,
      handlers: { note: one },
      patience: { attempts: 1, firstMs: 1 },
      warn: console.error,
    } as never,
    { url, prefix: `bench-${randomUUID()}`, works: true },
  );
  await runner.start();
  const begin = performance.now();
  for (let n = 0; n < JOBS; n += AN_ACT) {
    void store.housekeep(LABORATORY, async (unit) => {
      for (let k = 0; k < AN_ACT; k++) await unit.enqueue('note', `t${n + k}`);
    });
  }
  await finished;
  const rate = JOBS / ((performance.now() - begin) / 1000);
  await runner.stop();
  return rate;
}

async function bareBull(url: string): Promise<number> {
  const prefix = `bare-${randomUUID()}`;
  const [connection, taking] = [0, 1].map(() => new Redis(url, { maxRetriesPerRequest: null })) as [Redis, Redis];
  const queue = new Queue('jobs', { connection, prefix });
  const { finished, one } = countdown();
  const worker = new Worker('jobs', one, { connection: taking, prefix, concurrency: BULL_AT_ONCE.quick });
  const begin = performance.now();
  for (let n = 0; n < JOBS; n += AN_ACT) {
    const jobs = Array.from({ length: AN_ACT }, () => {
      const id = randomUUID();
      const opts = { jobId: id, removeOnComplete: true, removeOnFail: true };
      return { name: 'note', data: { laboratoryId: LABORATORY, id }, opts };
    });
    await queue.addBulk(jobs);
  }
  await finished;
  const rate = JOBS / ((performance.now() - begin) / 1000);
  await worker.close();
  await queue.obliterate({ force: true });
  await queue.close();
  connection.disconnect();
  taking.disconnect();
  return rate;
}

/** Settles when `one` was called for each job. */
function countdown(): { finished: Promise<void>; one: () => Promise<void> } {
  let left = JOBS;
  let finish: () => void = () => undefined;
  const finished = new Promise<void>((resolve) => (finish = resolve));
  const one = (): Promise<void> => {
    left -= 1;
    if (left === 0) finish();
    return Promise.resolve();
  };
  return { finished, one };
}

const given = process.env['BENCH_ADDRESS'];
if (given !== undefined) {
  await work(JSON.parse(given) as DatabaseAddress);
} else {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-jobs-'));
  try {
    const begin = performance.now();
    console.log(`control tasks: ${tasks().length} computed in ${((performance.now() - begin) / 1000).toFixed(1)} s`);
    await race('SQLite', { kind: 'sqlite', file: join(folder, 'race.sqlite') });
    const postgres = process.env['TEST_POSTGRES_URL'];
    if (postgres) await race('PostgreSQL', { kind: 'postgres', url: postgres });
    const redis = process.env['TEST_REDIS_URL'];
    console.log('jobs through Redis');
    if (!redis) console.log('  no Redis here; set TEST_REDIS_URL');
    else await queues(redis, { kind: 'sqlite', file: join(folder, 'race.sqlite') });
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
