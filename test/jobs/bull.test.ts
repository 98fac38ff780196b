import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { BULL_AT_ONCE, BullRunner } from '../../src/jobs/bull.js';
import type { JobRunner, Work } from '../../src/jobs/runner.js';
import { freshPostgres, freshSqlite } from '../support/databases.js';
import { describeWith } from '../support/needs.js';
import { emptyRedis, OwnRedis, redisCommand } from '../support/redis.js';
import { passing, until } from '../support/until.js';
import { Bench } from './bench.js';
import { runnerConformance } from './conformance.js';

/**
 * An act must not wait for a queue, and whoever waits for one that is away waits five seconds or longer; the machine that
 * runs the tests may be slow.
 */
const PROMPT_MS = 4_000;
/** Less than the twenty seconds that a stop waits for what is under way. */
const STOPPED_MS = 15_000;

async function promptly<T>(act: Promise<T>): Promise<T> {
  const from = Date.now();
  const answer = await act;
  expect(Date.now() - from).toBeLessThan(PROMPT_MS);
  return answer;
}

describeWith('redis', 'Jobs through Redis', (url) => {
  const own = (): { prefix: string; runner: (work: Work) => JobRunner; close: () => Promise<void> } => {
    const prefix = `test-${randomUUID()}`;
    return {
      prefix,
      runner: (work) => new BullRunner(work, { url, prefix, works: true }),
      close: async () => void (await emptyRedis(url, prefix)),
    };
  };

  describe('with a Redis that dies', () => {
    let redis: OwnRedis;
    let bench: Bench;

    beforeEach(async () => {
      redis = await OwnRedis.choose();
      const address = { url: redis.url, prefix: 'test', works: true };
      bench = await Bench.open(await freshSqlite(), {
        runner: (work) => new BullRunner(work, address),
        close: () => redis.stop(),
      });
    });

    afterEach(async () => {
      redis.goOn();
      await bench.close();
    });

    it('wait in the database while it has never been there, and are done once it is', async () => {
      const runner = await promptly(bench.started());
      await promptly(bench.act('early'));
      await until('it is told', () => bench.warnings.length > 0);
      await passing(500);
      expect(await promptly(runner.healthy())).toBe(false);
      expect(await bench.states()).toMatchObject({ waiting: 1 });
      expect(bench.warnings).toHaveLength(1);
      expect(bench.warnings[0]).toMatch(/^Jobs wait in the database until the queue takes them again: .*ECONNREFUSED/);
      await redis.start();
      await bench.allDone();
      expect(bench.targets).toEqual(['early']);
      expect(await runner.healthy()).toBe(true);
    });

    it('survive that it comes back empty', async () => {
      await redis.start();
      await bench.started();
      await bench.act('held', { inMs: 600_000 });
      await until('it is handed over', async () => (await bench.states()).handed === 1);
      await redis.stop();
      await promptly(bench.act('meanwhile'));
      await bench.fallDue();
      await redis.start();
      await bench.allDone();
      expect(bench.targets).toEqual(['meanwhile', 'held']);
    });

    it('do not hold up an act while it hangs', async () => {
      await redis.start();
      const runner = await bench.started();
      await until('it is healthy', () => runner.healthy());
      redis.halt();
      await promptly(bench.act('one'));
      await promptly(bench.act('two'));
      expect(await runner.healthy()).toBe(false);
      redis.goOn();
      await bench.allDone();
      expect(bench.targets.sort()).toEqual(['one', 'two']);
    });

    it('let the program stop while it is away', async () => {
      await redis.start();
      const runner = await bench.started();
      await until('it is healthy', () => runner.healthy());
      await redis.stop();
      await passing(300);
      const from = Date.now();
      await runner.stop();
      expect(Date.now() - from).toBeLessThan(STOPPED_MS);
    });
  });

  runnerConformance('on SQLite', freshSqlite, own, BULL_AT_ONCE);

  describe('with a queue that can be emptied', () => {
    let bench: Bench;
    let prefix: string;

    beforeEach(async () => {
      const kind = own();
      prefix = kind.prefix;
      bench = await Bench.open(await freshSqlite(), kind);
    });

    afterEach(() => bench.close());

    it('are handed over again after the queue lost them, and done once', async () => {
      const first = await bench.started();
      await Promise.all(Array.from({ length: 5 }, (_, n) => bench.act(`t${n}`, { inMs: 600_000 })));
      await until('all are handed over', async () => (await bench.states()).handed === 5);
      await first.stop();
      expect((await emptyRedis(url, prefix)).length).toBeGreaterThan(5);
      await bench.fallDue();
      await bench.started();
      await bench.allDone();
      expect(bench.targets.sort()).toEqual(['t0', 't1', 't2', 't3', 't4']);
    });

    it('are handed over twice and done once', async () => {
      const first = await bench.started();
      await bench.act('one', { inMs: 1_000 });
      // On a slow machine it may be done by the first; the others hand it over again and do it no second time.
      await until('it is handed over', async () => (await bench.states()).waiting === 0);
      await first.stop();
      await bench.started();
      await bench.started();
      await bench.allDone();
      await passing(300);
      expect(bench.targets).toEqual(['one']);
    });

    it('leave nothing behind in Redis', async () => {
      await bench.started({ patience: { attempts: 1, firstMs: 10 }, handle: () => Promise.reject(new Error('no')) });
      await bench.act('one', { id: 'record-check:outer-quill:2026-11-26' });
      await until('it is given up', async () => (await bench.states()).failed === 1);
      const kept = (): Promise<string[]> => redisCommand(url, (redis) => redis.keys(`${prefix}*record-check*`));
      await until('it left Redis', async () => (await kept()).length === 0);
    });
  });

  describeWith('postgres', 'with workers in other processes on PostgreSQL', () => {
    it('are handed over by one and done by two others, each once, with one effect each', async () => {
      const prefix = `test-${randomUUID()}`;
      let works = false;
      const bench = await Bench.open(await freshPostgres(), {
        runner: (work) => new BullRunner(work, { url, prefix, works }),
        close: async () => void (await emptyRedis(url, prefix)),
      });
      try {
        await bench.started();
        works = true;
        const by: number[] = [0, 0];
        for (const n of [0, 1]) {
          await bench.started({
            store: await bench.otherStore(),
            handle: async (target, { store, laboratoryId }) => {
              by[n]! += 1;
              await passing(10);
              await store.housekeep(laboratoryId, (unit) => unit.tell(`seen:${target}`, `${target} was seen`));
            },
          });
        }
        const told: string[] = [];
        bench.store.feed.on('changed', ({ subject }: { subject: { kind: string; id: string } }) => {
          if (subject.kind === 'notice') told.push(subject.id);
        });
        const acted: string[] = [];
        const act = async (): Promise<void> => {
          const target = `t${acted.length}`;
          acted.push(target);
          await bench.act(target);
        };
        await Promise.all(Array.from({ length: 60 }, act));
        // Whichever worker was ready first may have taken all of these.
        await until('both did some', async () => by.every((count) => count > 0) || act().then(() => false));
        await bench.allDone();
        expect(bench.targets.sort()).toEqual(acted.sort());
        const notices = await bench.notices();
        expect(notices).toHaveLength(acted.length);
        await until('the first process heard of each notice', () => told.length === acted.length);
        expect(told.sort()).toEqual(notices.map(({ id }) => id).sort());
      } finally {
        await bench.close();
      }
    });
  });
});
