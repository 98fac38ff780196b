import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { SystemClock } from '../../src/clock.js';
import type { Instant } from '../../src/core/time/instant.js';
import { JOB_NAMES } from '../../src/jobs/names.js';
import { recordCheck } from '../../src/jobs/record-check.js';
import type { Handler } from '../../src/jobs/runner.js';
import { JobRow } from '../../src/store/rows/jobs.entity.js';
import type { FreshDatabase } from '../support/databases.js';
import { passing, until } from '../support/until.js';
import { Bench, type Kind, LABORATORY } from './bench.js';

/** Timers and other processes may be this late on a busy machine; what nobody wakes is later than that. */
const LATE_MS = 30_000;

/** Counts how often somebody wants to know the time. */
class CountingClock extends SystemClock {
  asked = 0;

  override now(): Instant {
    this.asked += 1;
    return super.now();
  }
}

/** What every job runner does, whatever delivers the jobs. */
export function runnerConformance(
  name: string,
  fresh: () => Promise<FreshDatabase>,
  kind: () => Kind,
  atOnce: { quick: number; long: number },
): void {
  describe(name, () => {
    let bench: Bench;
    let clock: CountingClock;

    beforeEach(async () => {
      clock = new CountingClock();
      bench = await Bench.open(await fresh(), kind(), clock);
    });

    afterEach(() => bench.close());

    it('does each job of a committed act once, and none of a failed one', async () => {
      await bench.started();
      await Promise.all(Array.from({ length: 25 }, (_, n) => bench.act(`t${n}`)));
      await bench.store
        .change({ laboratoryId: LABORATORY, personId: 'ada', deviceId: null }, 'test.act', async (unit) => {
          await unit.enqueue('note', 'never');
          throw new Error('thrown on purpose');
        })
        .catch(() => undefined);
      await bench.allDone();
      await passing(100);
      expect(bench.targets.sort()).toEqual(Array.from({ length: 25 }, (_, n) => `t${n}`).sort());
      expect(await bench.states()).toEqual({ waiting: 0, handed: 0, done: 25, failed: 0 });
    });

    it('does a job at its time, not before, and first what is due first', async () => {
      await bench.started();
      const due = await bench.actOfSeveral([
        { target: 'later', inMs: 900 },
        { target: 'soon', inMs: 400 },
        { target: 'now' },
      ]);
      const [later, soon] = due.map((at) => Date.parse(at)) as [number, number];
      await bench.allDone();
      expect(bench.targets).toEqual(['now', 'soon', 'later']);
      const [, second, third] = bench.calls;
      expect(second!.at - soon).toBeGreaterThanOrEqual(0);
      expect(second!.at - soon).toBeLessThan(LATE_MS);
      expect(third!.at - later).toBeGreaterThanOrEqual(0);
      expect(third!.at - later).toBeLessThan(LATE_MS);
    });

    it('leaves a job of 60 days from now alone, and does not keep asking', async () => {
      await bench.started();
      await bench.act('far', { inMs: 60 * 86_400_000 });
      await bench.act('near');
      await until('the near one is done', async () => (await bench.states()).done === 1);
      // What its last look began may take a while.
      await until('nobody asks for the time any more', async () => {
        const asked = clock.asked;
        await passing(500);
        return clock.asked === asked;
      });
      expect(bench.targets).toEqual(['near']);
    });

    it('does at its start what fell due while it was stopped', async () => {
      const first = await bench.started();
      await bench.act('before');
      await until('the first is done', () => bench.calls.length === 1);
      const due = await bench.act('between', { inMs: 800 });
      await first.stop();
      // On a machine so slow that it was due before the stop, 'between' is among them.
      const doneBefore = bench.targets;
      await bench.act('stopped');
      await passing(Math.max(Date.parse(due) - Date.now(), 0) + 200);
      expect(bench.targets).toEqual(doneBefore);
      await bench.started();
      await bench.allDone();
      expect(bench.targets.sort()).toEqual(['before', 'between', 'stopped']);
    });

    it('does what another queue held when the program was stopped', async () => {
      await bench.act('left');
      await bench.store.housekeep(LABORATORY, (unit) => unit.change(JobRow, {}, { state: 'handed' }));
      await bench.started();
      await bench.allDone();
      expect(bench.targets).toEqual(['left']);
    });

    it('tries again what threw, each time after a longer while', async () => {
      await bench.started({
        patience: { attempts: 5, firstMs: 200 },
        handle: () => (bench.calls.length < 3 ? Promise.reject(new Error('thrown on purpose')) : Promise.resolve()),
      });
      await bench.act('stubborn');
      await bench.allDone();
      const [one, two, three] = bench.calls.map(({ at }) => at);
      expect(bench.calls).toHaveLength(3);
      expect(two! - one!).toBeGreaterThanOrEqual(200);
      expect(three! - two!).toBeGreaterThanOrEqual(400);
      expect(await bench.jobs()).toMatchObject([{ state: 'done', attempts: 2, error: null }]);
      expect(await bench.notices()).toEqual([]);
    });

    it('gives up in the end, keeps the last error and tells a person once', async () => {
      const first = await bench.started({ handle: () => Promise.reject(new Error('the lamp is broken')) });
      await bench.act('hopeless', { id: 'j1' });
      await until('it is given up', async () => (await bench.states()).failed === 1);
      await first.stop();
      await bench.started();
      await bench.act('other');
      await until('another is done', async () => (await bench.states()).done === 1);
      expect(bench.targets).toEqual(['hopeless', 'hopeless', 'hopeless', 'other']);
      expect((await bench.jobs()).find(({ id }) => id === 'j1')).toMatchObject({
        attempts: 3,
        error: 'the lamp is broken',
      });
      const notices = await bench.notices();
      expect(notices.map(({ matter }) => matter)).toEqual(['job-failed:j1']);
      expect(notices[0]!.text).toContain('after 3 attempts: the lamp is broken');
    });

    it('gives up a job that it has no handler for', async () => {
      await bench.started({ patience: { attempts: 1, firstMs: 10 } });
      await bench.act('thing', { name: 'from-a-later-version' });
      await until('it is given up', async () => (await bench.states()).failed === 1);
      expect((await bench.jobs())[0]!.error).toBe('this version knows no job "from-a-later-version"');
    });

    it('does several at once, within bounds, and lets a slow one hold up no other', async () => {
      let [now, most] = [0, 0];
      let letGo = (): void => undefined;
      const held = new Promise<void>((resolve) => (letGo = resolve));
      await bench.started({
        handle: async (target) => {
          now += 1;
          most = Math.max(most, now);
          await (target === 'slow' ? held : passing(30));
          now -= 1;
        },
      });
      await bench.act('slow');
      await Promise.all(Array.from({ length: atOnce.quick + 10 }, (_, n) => bench.act(`t${n}`)));
      await until('the quick ones are done', async () => (await bench.states()).done === atOnce.quick + 10);
      expect(now).toBe(1);
      letGo();
      await bench.allDone();
      expect(most).toBeGreaterThan(1);
      expect(most).toBeLessThanOrEqual(atOnce.quick);
    });

    it('does a few long ones at once, and the quick ones beside them', async () => {
      let [now, most] = [0, 0];
      let letGo = (): void => undefined;
      const held = new Promise<void>((resolve) => (letGo = resolve));
      const long = async (): Promise<void> => {
        now += 1;
        most = Math.max(most, now);
        await held;
        now -= 1;
      };
      await bench.started({ handlers: { [JOB_NAMES.measurePicture]: long } });
      for (let n = 0; n < atOnce.long + 3; n++) await bench.act(`picture-${n}`, { name: JOB_NAMES.measurePicture });
      await until('as many as may are under way', () => now === atOnce.long);
      await Promise.all(Array.from({ length: 12 }, (_, n) => bench.act(`t${n}`)));
      await until('the quick ones are done', async () => (await bench.states()).done === 12);
      expect(now).toBe(atOnce.long);
      letGo();
      await bench.allDone();
      expect(most).toBe(atOnce.long);
    });

    it('lets what is under way finish before it stops', async () => {
      let finished = false;
      const runner = await bench.started({
        handle: async () => {
          await passing(400);
          finished = true;
        },
      });
      await bench.act('long');
      await until('it began', () => bench.calls.length === 1);
      await runner.stop();
      expect(finished).toBe(true);
      expect(await bench.states()).toMatchObject({ done: 1 });
    });

    it('does what a handler queues', async () => {
      await bench.started({
        handlers: {
          first: (target, { store, laboratoryId }) =>
            store.housekeep(laboratoryId, (unit) => unit.enqueue('note', `${target} and more`)),
        },
      });
      await bench.act('this', { name: 'first' });
      await until('both are done', async () => (await bench.states()).done === 2);
      expect(bench.targets).toEqual(['this and more']);
    });

    it('has one effect for a job that stands in two rows or is seen by two runners', async () => {
      const handle: Handler = (target, { store, laboratoryId }) =>
        store.housekeep(laboratoryId, (unit) => unit.tell(`seen:${target}`, `${target} was seen`));
      await bench.started({ handle });
      await bench.started({ handle });
      await Promise.all(Array.from({ length: 20 }, (_, n) => bench.act(`t${n % 10}`)));
      await bench.allDone();
      const matters = (await bench.notices()).map(({ matter }) => matter).sort();
      expect(matters).toEqual(Array.from({ length: 10 }, (_, n) => `seen:t${n}`));
    });

    it('queues one next row of a recurring job, even if this one stands in two rows', async () => {
      await bench.started({ handlers: { [JOB_NAMES.recordCheck]: recordCheck } });
      await Promise.all([1, 2].map(() => bench.act(LABORATORY, { name: JOB_NAMES.recordCheck })));
      await until('both are done', async () => (await bench.states()).done === 2);
      const ahead = (await bench.jobs()).filter(({ state }) => state !== 'done');
      expect(ahead).toHaveLength(1);
      expect(ahead[0]!.id).toMatch(/^record-check:outer-quill:\d{4}-\d\d-\d\d$/);
      expect(Date.parse(ahead[0]!.dueAt)).toBeGreaterThan(Date.now());
      expect(await bench.notices()).toEqual([]);
    });

    it('is healthy while it runs', async () => {
      const runner = await bench.started();
      await until('it is healthy', () => runner.healthy());
      await runner.stop();
      expect(await runner.healthy()).toBe(false);
    });
  });
}
