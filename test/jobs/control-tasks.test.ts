import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import { HandClock } from '../../src/clock.js';
import { contentHash } from '../../src/core/protocol/content.js';
import { BullRunner } from '../../src/jobs/bull.js';
import { EmbeddedRunner } from '../../src/jobs/embedded.js';
import { HANDLERS } from '../../src/jobs/handlers.js';
import { JOB_NAMES } from '../../src/jobs/names.js';
import { queueRecurring } from '../../src/jobs/recurring.js';
import type { JobRunner, Work } from '../../src/jobs/runner.js';
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
import { Bench, type Kind, LABORATORY, until } from './bench.js';

/** A Wednesday in the laboratory's winter, Lisbon. */
const NOW = '2026-11-25T09:00:00.000Z';
const ACTOR = { laboratoryId: LABORATORY, personId: 'ada', deviceId: null };
const HOUR_MS = 3_600_000;

const embedded = (): Kind => ({ runner: (work) => new EmbeddedRunner(work), close: () => Promise.resolve() });

/** Tasks of Harris H&E's daily control by day: 18 November (7 days back) to 9 December (14 ahead), since the 20th. */
const DAYS_AT_FIRST = 20;

function reconciliation(name: string, fresh: () => Promise<FreshDatabase>, kind: () => Kind): void {
  describe(name, () => {
    let clock: HandClock;
    let bench: Bench;

    beforeEach(async () => {
      clock = new HandClock(Date.parse(NOW));
      bench = await Bench.open(await fresh(), kind(), clock);
      await approve(bench);
    });

    afterEach(() => bench.close());

    const start = async (): Promise<JobRunner> => {
      await queueRecurring(bench.store, clock);
      return bench.started({ handlers: { [JOB_NAMES.controlTasks]: HANDLERS[JOB_NAMES.controlTasks]! } });
    };
    /** Lets the looks that are due by then happen. */
    const look = async (): Promise<void> => {
      clock.forward(15 * 60_000);
      const runner = await start();
      await until('the look is done', async () => (await ahead()) === 1 && (await due()) === 0);
      await runner.stop();
    };
    const jobs = async () => (await bench.jobs()).filter(({ name: job }) => job === JOB_NAMES.controlTasks);
    const ahead = async () => (await jobs()).filter(({ state, dueAt }) => isOpen(state) && dueAt > clock.now()).length;
    const due = async () => (await jobs()).filter(({ state, dueAt }) => isOpen(state) && dueAt <= clock.now()).length;
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
      await look();
      expect(await keys()).toEqual(before);
    });

    it('makes each once from jobs that stand there twice, and keeps one row of looks', async () => {
      await bench.act(LABORATORY, { name: JOB_NAMES.controlTasks });
      await bench.act(LABORATORY, { name: JOB_NAMES.controlTasks });
      await look();
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
  const bull = (): Kind => {
    const prefix = `test-${randomUUID()}`;
    return {
      runner: (work: Work) => new BullRunner(work, { url, prefix, works: true }),
      close: async () => void (await emptyRedis(url, prefix)),
    };
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
      const handlers = { [JOB_NAMES.controlTasks]: HANDLERS[JOB_NAMES.controlTasks]! };
      const counts: number[] = [];
      for (const next of [kind, embedded(), last]) {
        kind = next;
        clock.forward(15 * 60_000);
        await queueRecurring(bench.store, clock);
        const runner = await bench.started({ handlers });
        await until('its look is done', async () => {
          const open = (await bench.jobs()).filter(
            ({ name, state }) => name === JOB_NAMES.controlTasks && isOpen(state),
          );
          return open.length === 1 && open[0]!.dueAt > clock.now();
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
