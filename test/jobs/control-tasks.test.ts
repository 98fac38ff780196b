import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { HandClock } from '../../src/clock.js';
import { contentHash } from '../../src/core/protocol/content.js';
import { BullRunner } from '../../src/jobs/bull.js';
import { EmbeddedRunner } from '../../src/jobs/embedded.js';
import { HANDLERS } from '../../src/jobs/handlers.js';
import { JOB_NAMES } from '../../src/jobs/names.js';
import type { Work } from '../../src/jobs/runner.js';
import { writeTasks } from '../../src/store/acts/write-tasks.js';
import { ControlTaskRow } from '../../src/store/rows/control-plans.entity.js';
import { JobRow } from '../../src/store/rows/jobs.entity.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { RevisionActRow, RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { RunRow, RunSubjectRow } from '../../src/store/rows/runs.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { shipped } from '../support/bedside.js';
import { describeOnEachDatabase, type FreshDatabase, freshSqlite } from '../support/databases.js';
import { describeWith } from '../support/needs.js';
import { emptyRedis } from '../support/redis.js';
import { until } from '../support/until.js';
import { Bench, type Kind, LABORATORY } from './bench.js';

/** A Wednesday in the laboratory's winter, Lisbon. */
const NOW = '2026-11-25T09:00:00.000Z';
const ACTOR = { laboratoryId: LABORATORY, personId: 'ada', deviceId: null };
const HOUR_MS = 3_600_000;

/** A kind of runner whose queue can lose all that it holds. */
interface Emptied extends Kind {
  empty: () => Promise<void>;
}

const nothing = (): Promise<void> => Promise.resolve();
const embedded = (): Emptied => ({ runner: (work) => new EmbeddedRunner(work), close: nothing, empty: nothing });

/** Tasks of Harris H&E's daily control by day: 18 November (7 days back) to 9 December (14 ahead), since the 20th. */
const DAYS_AT_FIRST = 20;

const handlers = { [JOB_NAMES.controlTasks]: HANDLERS[JOB_NAMES.controlTasks]! };

function reconciliation(name: string, fresh: () => Promise<FreshDatabase>, kind: () => Emptied): void {
  describe(name, () => {
    let clock: HandClock;
    let bench: Bench;
    let queue: Emptied;

    beforeEach(async () => {
      clock = new HandClock(Date.parse(NOW));
      queue = kind();
      bench = await Bench.open(await fresh(), queue, clock);
      await approve(bench);
    });

    afterEach(() => bench.close());

    /** One look now, and those that are due by then. */
    const look = async (): Promise<void> => {
      await bench.act(LABORATORY, { name: JOB_NAMES.controlTasks });
      const wanted = (await done()) + 1;
      const runner = await bench.started({ handlers });
      await until('the look is done', async () => (await done()) >= wanted);
      await runner.stop();
    };
    const jobs = async () => (await bench.jobs()).filter(({ name: job }) => job === JOB_NAMES.controlTasks);
    const done = async () => (await jobs()).filter(({ state }) => state === 'done').length;
    const ahead = async () => (await jobs()).filter(({ state, dueAt }) => isOpen(state) && dueAt > clock.now()).length;
    const keys = async () =>
      (await bench.store.read(LABORATORY, (view) => view.all(ControlTaskRow))).map(({ key }) => key).sort();
    const days = async () =>
      (await keys()).filter((key) => key.startsWith('he-harris-regressive/daily/each day of use/'));

    it('writes the days ahead down, each once, however often it looks', async () => {
      await look();
      const first = await days();
      expect(first).toHaveLength(DAYS_AT_FIRST);
      expect(first[0]).toBe('he-harris-regressive/daily/each day of use/2026-11-20');
      expect(first.at(-1)).toBe('he-harris-regressive/daily/each day of use/2026-12-09');
      await look();
      expect(await days()).toEqual(first);
    });

    it('makes the same tasks after the queue and what it had written were emptied', async () => {
      await look();
      const before = await keys();
      await bench.store.housekeep(LABORATORY, async (unit) => {
        await unit.remove(JobRow, {});
        await unit.remove(ControlTaskRow, {});
      });
      await queue.empty();
      await look();
      expect(await keys()).toEqual(before);
    });

    it('makes each once from jobs that stand there twice, and keeps one row of looks', async () => {
      await bench.act(LABORATORY, { name: JOB_NAMES.controlTasks });
      await look();
      await until('both are done', async () => (await done()) >= 1);
      expect(await days()).toHaveLength(DAYS_AT_FIRST);
      expect(await ahead()).toBe(1);
    });

    it('makes up for three days on which nothing ran', async () => {
      await look();
      await bench.store.housekeep(LABORATORY, (unit) => unit.remove(ControlTaskRow, { period: '2026-11-26' }));
      clock.forward(3 * 24 * HOUR_MS);
      await look();
      const made = await days();
      expect(made).toHaveLength(DAYS_AT_FIRST + 3);
      expect(made).toContain('he-harris-regressive/daily/each day of use/2026-11-26');
      expect(made.at(-1)).toBe('he-harris-regressive/daily/each day of use/2026-12-12');
    });

    it('reminds once a day, once of what is overdue, and tells each manager once', async () => {
      await use(bench);
      clock.forward(2 * HOUR_MS);
      await look();
      await look();
      const told = async (start: string) => (await bench.notices()).filter(({ matter }) => matter.startsWith(start));
      expect(await told('controls-due:')).toMatchObject([
        {
          matter: 'controls-due:2026-11-25',
          path: '/controls',
          text: expect.stringMatching(/daily \(each day of use, 2026-11-25\)/),
        },
      ]);
      clock.set('2026-11-26T00:30:00.000Z');
      await look();
      await look();
      expect(await told('controls-missed:')).toMatchObject([
        {
          personId: 'marl',
          text: expect.stringMatching(/^Patients’ runs went without a control: .*each day of use, 2026-11-25/),
        },
      ]);
    });
  });
}

describeOnEachDatabase('Control tasks', (fresh) =>
  reconciliation('written down by the program itself', fresh, embedded),
);

describeWith('redis', 'Control tasks through Redis', () => {
  const url = process.env['TEST_REDIS_URL'] as string;
  const bull = (): Emptied => {
    const prefix = `test-${randomUUID()}`;
    const empty = async (): Promise<void> => void (await emptyRedis(url, prefix));
    return { runner: (work: Work) => new BullRunner(work, { url, prefix, works: true }), close: empty, empty };
  };
  reconciliation('written down by its worker', freshSqlite, bull);

  it('are the same, each once, after a move to the program’s own runner and back', async () => {
    const clock = new HandClock(Date.parse(NOW));
    let kind = bull();
    const last = kind;
    const bench = await Bench.open(
      await freshSqlite(),
      { runner: (work) => kind.runner(work), close: () => last.close() },
      clock,
    );
    try {
      await approve(bench);
      const counts: number[] = [];
      for (const next of [kind, embedded(), last]) {
        kind = next;
        await bench.act(LABORATORY, { name: JOB_NAMES.controlTasks });
        const runner = await bench.started({ handlers });
        await until('its look is done', async () => {
          const done = (await bench.jobs()).filter(
            ({ name, state }) => name === JOB_NAMES.controlTasks && state === 'done',
          );
          return done.length > counts.length;
        });
        await runner.stop();
        counts.push(await bench.store.read(LABORATORY, (view) => view.count(ControlTaskRow)));
      }
      expect(new Set(counts).size).toBe(1);
      expect(counts[0]).toBeGreaterThanOrEqual(DAYS_AT_FIRST);
    } finally {
      await bench.close();
    }
  });
});

describeOnEachDatabase('Control tasks written by two at once', (fresh) => {
  it('stand there once each', async () => {
    const clock = new HandClock(Date.parse(NOW));
    const bench = await Bench.open(await fresh(), embedded(), clock);
    try {
      const tasks = Array.from({ length: 3_000 }, (_, n) => ({
        key: `he/daily/each day of use/${n}`,
        protocolId: 'he',
        requirement: 'daily',
        clock: 'each day of use',
        clause: '42 CFR 493.1256(e)(2)',
        about: null,
        period: String(n),
        station: null,
        dueFrom: NOW,
        dueUntil: null,
      }));
      const stores = [bench.store, await bench.otherStore()];
      await Promise.all(
        stores.flatMap((store) =>
          [0, 1_000, 2_000].map((from) =>
            store.housekeep(LABORATORY, (unit) => writeTasks(unit, tasks.slice(from, from + 1_000))),
          ),
        ),
      );
      expect(await bench.store.read(LABORATORY, (view) => view.count(ControlTaskRow))).toBe(3_000);
    } finally {
      await bench.close();
    }
  });
});

function isOpen(state: JobRow['state']): boolean {
  return state === 'waiting' || state === 'handed';
}

/** Harris H&E in force since 20 November, and a manager. */
async function approve(bench: Bench): Promise<void> {
  const content = shipped('he-harris-regressive');
  const at = '2026-11-20T08:00:00.000Z';
  await bench.store.change(ACTOR, 'test.approved', async (unit) => {
    await unit.add(PersonRow, {
      ...{ id: 'marl', name: 'Marl Quill', login: 'marl', roles: ['manager'], passwordHash: '', createdAt: at },
      ...{ disabled: false, failures: 0, lockedUntil: null },
    } as never);
    const { id } = await unit.insert(RevisionRow, {
      id: 'he-1',
      protocolId: content.id,
      number: 1,
      title: content.title,
      content,
      contentHash: contentHash(content),
    });
    await unit.insert(RevisionActRow, { revisionId: id, kind: 'drafted', at, data: {} });
    await unit.insert(RevisionActRow, { revisionId: id, kind: 'approved', at, data: { effectiveFrom: at } });
    unit.about('test', 'approved');
  });
}

/** A run for a patient without any control, on 25 November. */
async function use(bench: Bench): Promise<void> {
  await bench.store.change(ACTOR, 'test.used', async (unit) => {
    const slide = await unit.insert(SubjectRow, {
      kind: 'slide',
      label: 'SW1:L:1',
      description: 'skin',
      irreplaceable: false,
    });
    const run = await unit.insert(RunRow, {
      id: 'run-1',
      revisionId: 'he-1',
      station: 'H&E line',
      purpose: 'patients',
      startedAt: NOW,
      personId: 'ada',
    });
    await unit.insert(RunSubjectRow, { runId: run.id, subjectId: slide.id, role: 'patient' });
    unit.about('test', 'used');
  });
}
