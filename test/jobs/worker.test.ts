import { describe, expect, it } from '@jest/globals';
import { type ChildProcess, spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { type AddressInfo, createServer } from 'node:net';
import { fileURLToPath } from 'node:url';
import { SystemClock } from '../../src/clock.js';
import { JOB_NAMES, queuePrefix } from '../../src/jobs/names.js';
import type { JobRunner } from '../../src/jobs/runner.js';
import { startJobs } from '../../src/jobs/start.js';
import { connect } from '../../src/store/data-source.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { JobRow, NoticeRow } from '../../src/store/rows/jobs.entity.js';
import { Store } from '../../src/store/store.js';
import { placesIn } from '../support/checkpoints.js';
import { freshPostgres, type FreshDatabase, freshSqlite } from '../support/databases.js';
import { describeWith } from '../support/needs.js';
import { emptyRedis } from '../support/redis.js';
import { until } from '../support/until.js';

const WORKER = fileURLToPath(new URL('../../dist/worker.js', import.meta.url));

async function freePort(): Promise<number> {
  const probe = createServer().listen(0, '127.0.0.1');
  await once(probe, 'listening');
  const { port } = probe.address() as AddressInfo;
  probe.close();
  return port;
}

/** A worker process with nothing in its environment but what is given. */
function worker(env: Record<string, string>): { process: ChildProcess; output: () => string } {
  const child = spawn(process.execPath, [WORKER], { env: { PATH: process.env['PATH'] ?? '', ...env } });
  let text = '';
  child.stdout.on('data', (piece: Buffer) => (text += piece.toString()));
  child.stderr.on('data', (piece: Buffer) => (text += piece.toString()));
  return { process: child, output: () => text };
}

async function openLaboratory(database: FreshDatabase, id: string): Promise<Store> {
  const store = new Store(await connect(database.address), new SystemClock());
  await store.listen();
  await store.housekeep(id, (unit) =>
    addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Europe/Lisbon', demo: false, driftPpm: 100 }),
  );
  return store;
}

/** An act that makes the record fail its check, and the check. */
async function checkOfAFaultyRecord(store: Store, id: string): Promise<void> {
  await store.change({ laboratoryId: id, personId: 'ada', deviceId: null }, 'test.act', async (unit) => {
    unit.about('test', 'test');
    await unit.tell('lamp', 'The lamp is broken');
  });
  await store.connections.writer.query(`UPDATE record_entry SET hash = 'no' WHERE laboratory_id = '${id}'`);
  await store.housekeep(id, (unit) => unit.enqueue(JOB_NAMES.recordCheck, id));
}

const faults = async (store: Store, id: string): Promise<string[]> =>
  (await store.read(id, (view) => view.all(NoticeRow))).flatMap(({ matter }) =>
    matter.startsWith('record-check') ? [matter] : [],
  );

describe('Jobs started without a queue', () => {
  it('are done in this process, and each laboratory’s record is checked from then on', async () => {
    const database = await freshSqlite();
    const store = await openLaboratory(database, 'main');
    let runner: JobRunner | undefined;
    try {
      runner = await startJobs(
        {
          prefix: 'unused',
          checkpoints: placesIn('/nonexistent'),
          filesDir: '/nonexistent',
          mail: null,
          warn: () => undefined,
        },
        store,
        new SystemClock(),
      );
      const jobs = await store.read('main', (view) => view.all(JobRow));
      expect(jobs.map(({ name, state }) => [name, state]).sort()).toEqual([
        [JOB_NAMES.alerts, 'waiting'],
        [JOB_NAMES.checkpoint, 'waiting'],
        [JOB_NAMES.controlTasks, 'waiting'],
        [JOB_NAMES.recordCheck, 'waiting'],
      ]);
      await checkOfAFaultyRecord(store, 'main');
      await until('the fault is told', async () => (await faults(store, 'main')).length === 1);
      expect(await faults(store, 'main')).toEqual(['record-check:1:changed']);
    } finally {
      await runner?.stop();
      await store.close();
      await database.drop();
    }
  });
});

describe('A worker process', () => {
  it('says what it needs when there is no queue', async () => {
    const { process: child, output } = worker({});
    expect(await once(child, 'exit')).toEqual([1, null]);
    expect(output()).toBe(
      'QUEUE_URL is not set; without a queue the program does its jobs itself and needs no worker.\n',
    );
  });
});

describeWith('redis', 'A worker process with Redis', (queueUrl) => {
  describeWith('postgres', 'and PostgreSQL', () => {
    it('does what another process hands over, tells when it is ready, and stops on SIGTERM', async () => {
      const id = `test-${randomUUID()}`;
      const database = await freshPostgres();
      const port = await freePort();
      const store = await openLaboratory(database, id);
      const url = (database.address as { url: string }).url;
      const { process: child, output } = worker({
        DATABASE_URL: url,
        QUEUE_URL: queueUrl,
        LABORATORY_ID: id,
        HOST: '127.0.0.1',
        PORT: String(port),
      });
      const answer = (path: string): Promise<number> =>
        fetch(`http://127.0.0.1:${port}${path}`).then(
          ({ status }) => status,
          () => 0,
        );
      let runner: JobRunner | undefined;
      try {
        await until('the worker is ready', async () => (await answer('/health/ready')) === 200);
        expect(await answer('/health/live')).toBe(200);
        expect(await answer('/')).toBe(404);
        runner = await startJobs(
          {
            queueUrl,
            prefix: queuePrefix(id),
            checkpoints: placesIn('/nonexistent'),
            filesDir: '/nonexistent',
            mail: null,
            warn: () => undefined,
          },
          store,
          new SystemClock(),
        );
        await checkOfAFaultyRecord(store, id);
        await until('the fault is told', async () => (await faults(store, id)).length === 1);
        child.kill('SIGTERM');
        expect(await once(child, 'exit')).toEqual([0, null]);
        expect(output()).toContain('does jobs');
      } finally {
        child.kill('SIGKILL');
        await runner?.stop();
        await store.close();
        await database.drop();
        await emptyRedis(queueUrl, queuePrefix(id));
      }
    });
  });
});
