import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { HandClock } from '../../src/clock.js';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import type { BenchStamp, RunEventData, RunEventKind } from '../../src/core/run/events.js';
import { type Instant, plusMs } from '../../src/core/time/instant.js';
import {
  checkpointWanted,
  controlUnreadAt,
  nextCheckpointLook,
  nextRecordCheck,
  stepOverAt,
} from '../../src/jobs/due.js';
import { HANDLERS } from '../../src/jobs/handlers.js';
import { JOB_NAMES } from '../../src/jobs/names.js';
import { queueRecurring } from '../../src/jobs/recurring.js';
import { connect } from '../../src/store/data-source.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { JobRow, NoticeRow } from '../../src/store/rows/jobs.entity.js';
import { RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { CheckpointRow, HeadRow, RecordRow } from '../../src/store/rows/record.entity.js';
import { RunEventRow, RunRow, RunSubjectRow } from '../../src/store/rows/runs.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { Store } from '../../src/store/store.js';
import type { Unit } from '../../src/store/unit.js';
import { placesIn } from '../support/checkpoints.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

const laboratoryId = 'outer-quill';
const START: Instant = '2026-11-25T09:00:00.000Z';
const NO_MORE = { runId: null, path: null, personId: null, seenAt: null, overAt: null };

const protocol: Protocol = {
  format: 'stainwright-protocol/1',
  id: 'quill-orange',
  title: 'Quill orange',
  purpose: 'nuclei at the bedside',
  category: 'fluorescent',
  setting: 'bedside',
  material: { form: 'fresh tissue', description: 'core', irreplaceable: true },
  expected: 'bright nuclei',
  steps: [
    {
      id: 'dye',
      action: 'Dye in quill orange',
      vessel: 'dish',
      time: { min: 15, target: 20, max: 30, unit: 's', status: 'proposal', window: 'proposal' },
      end: 'clock',
      critical: true,
      handsOn: { start: 5, end: 3 },
      sources: [],
    },
    {
      id: 'wait-for-ever',
      action: 'Wait',
      vessel: 'dish',
      time: { target: 20, unit: 's', status: 'proposal', window: 'proposal' },
      end: 'eye',
      critical: false,
      handsOn: { start: 0, end: 0 },
      sources: [],
    },
  ],
  releasePoints: [{ id: 'adequacy', title: 'Adequacy', of: 'specimen', after: 'dye' }],
  controls: (['positive', 'negative'] as const).map((kind) => ({
    id: kind,
    kind,
    material: 'tonsil, gelatin',
    expected: 'as ever',
    when: 'each use',
    required: true,
    status: 'proposal',
    sources: [],
  })),
  cautions: [],
  fitness: [],
  sources: [],
};

describe('When jobs fall due', () => {
  const [dye, endless] = protocol.steps;

  it('a step’s at its longest time, and never without one', () => {
    expect(stepOverAt(START, dye!)).toBe('2026-11-25T09:00:30.000Z');
    expect(stepOverAt(START, endless!)).toBeNull();
  });

  it('the controls’ half an hour after the start of the run', () => {
    expect(controlUnreadAt(START)).toBe('2026-11-25T09:30:00.000Z');
  });

  // Offsets by the IANA time zone database: Lisbon has UTC+0 in winter, and its clocks go forward on 29 March 2026.
  it.each([
    ['2026-11-25T09:00:00.000Z', 'Europe/Lisbon', '2026-11-26', '2026-11-26T04:15:00.000Z'],
    ['2026-11-25T23:30:00.000Z', 'Pacific/Auckland', '2026-11-27', '2026-11-26T15:15:00.000Z'],
    ['2026-03-28T12:00:00.000Z', 'Europe/Lisbon', '2026-03-29', '2026-03-29T03:15:00.000Z'],
    ['2026-12-31T12:00:00.000Z', 'UTC', '2027-01-01', '2027-01-01T04:15:00.000Z'],
  ])('the record check’s after %s in %s in the night of the next local day', (now, zone, day, dueAt) => {
    expect(nextRecordCheck('q', zone, now)).toEqual({ id: `record-check:q:${day}`, dueAt });
  });

  it('the look at the checkpoints’ at the next full hour', () => {
    const [id, dueAt] = ['checkpoint:q:2026-11-25T10', '2026-11-25T10:00:00.000Z'];
    expect(nextCheckpointLook('q', 'UTC', START)).toEqual({ id, dueAt });
    expect(nextCheckpointLook('q', 'UTC', plusMs(START, 3_599_999))).toEqual({ id, dueAt });
  });

  it.each([
    ['at first', 1, null, true],
    ['after a day', 1, '2026-11-24T09:00:00.000Z', true],
    ['after a day short of what a look may come late', 1, '2026-11-24T09:00:01.000Z', true],
    ['not before', 10_000, '2026-11-24T10:00:00.000Z', false],
    ['sooner after very many entries', 10_001, '2026-11-25T08:00:00.000Z', true],
  ])('a checkpoint’s %s', (_when, entries, since, wanted) => {
    expect(checkpointWanted({ entries, since, now: START })).toBe(wanted);
  });
});

describeOnEachDatabase('Jobs announce', (fresh) => {
  let database: FreshDatabase;
  let store: Store;
  let clock: HandClock;
  let folder: string;

  beforeEach(async () => {
    database = await fresh();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-'));
    clock = new HandClock(Date.parse(START));
    store = new Store(await connect(database.address), clock);
    await store.housekeep(laboratoryId, (unit) =>
      addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Europe/Lisbon', demo: true, driftPpm: 100 }),
    );
  });

  afterEach(async () => {
    await store.close();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const act = <T>(work: (unit: Unit) => Promise<T>): Promise<T> =>
    store.change({ laboratoryId, personId: 'ada', deviceId: null }, 'test.act', async (unit) => {
      unit.about('test', 'test');
      return work(unit);
    });
  const startRun = () =>
    act(async (unit) => {
      await unit.insert(RevisionRow, {
        id: 'rev',
        protocolId: protocol.id,
        number: 1,
        title: protocol.title,
        content: protocol,
        contentHash: '0',
        basedOn: null,
      });
      await unit.insert(RunRow, {
        id: 'run',
        revisionId: 'rev',
        station: 'Ultrasound 1',
        purpose: 'patients',
        startedAt: START,
        personId: 'ada',
      });
      for (const control of ['positive', 'negative']) {
        const about = { parentId: null, description: '', takenAt: null, irreplaceable: false };
        await unit.insert(SubjectRow, { id: `c-${control}`, kind: 'control', label: `K-${control}`, ...about });
        await unit.insert(RunSubjectRow, { runId: 'run', subjectId: `c-${control}`, role: 'control', control });
      }
    });
  const event = <K extends RunEventKind>(id: string, kind: K, data: RunEventData[K], stamp: Partial<BenchStamp> = {}) =>
    act((unit) =>
      unit.insert(RunEventRow, {
        id,
        runId: 'run',
        kind,
        data,
        stamp: {
          at: clock.now(),
          uncertaintyMs: 10,
          device: 'tablet',
          monotonicMs: null,
          offsetMs: 0,
          roundTripMs: 8,
          late: false,
          ...stamp,
        },
        personId: 'ada',
        receivedAt: clock.now(),
      }),
    );
  const does = (name: string, target: string) =>
    HANDLERS[name]!(target, {
      store,
      clock,
      laboratoryId,
      checkpoints: placesIn(folder),
      filesDir: join(folder, 'files'),
      mail: null,
    });
  const notices = () => store.read(laboratoryId, (view) => view.all(NoticeRow));
  const texts = async () => (await notices()).map(({ text }) => text);
  const waiting = (name?: string) =>
    store.read(laboratoryId, (view) => view.all(JobRow, { state: 'waiting', ...(name && { name }) }));

  describe('a step over its longest time', () => {
    beforeEach(async () => {
      await startRun();
      await event('e1', 'step-started', { step: 'dye' });
      clock.forward(30_000);
    });
    const told = async () => {
      await does(JOB_NAMES.stepOver, 'e1');
      return texts();
    };

    it('once, however often the job runs', async () => {
      await told();
      expect(await told()).toEqual(['Dye has passed its longest time of 30 s on station Ultrasound 1']);
      expect(await notices()).toMatchObject([
        { matter: 'step-over:e1', runId: 'run', at: '2026-11-25T09:00:30.000Z', seenBy: null },
      ]);
    });

    it('not when it ended', async () => {
      await event('e2', 'step-ended', { step: 'dye' });
      expect(await told()).toEqual([]);
    });

    it('even when an earlier performance of it ended', async () => {
      await event('e2', 'step-ended', { step: 'dye' });
      await event('e3', 'step-started', { step: 'dye', again: true });
      clock.forward(30_000);
      await does(JOB_NAMES.stepOver, 'e1');
      await does(JOB_NAMES.stepOver, 'e3');
      expect((await notices()).map(({ matter }) => matter)).toEqual(['step-over:e3']);
    });

    it('not when the run was abandoned or cleared from the station', async () => {
      await event('e2', 'abandoned', { reason: 'core lost' });
      expect(await told()).toEqual([]);
    });

    it('not when the start was withdrawn', async () => {
      await event('e2', 'corrected', { event: 'e1', withdrawn: true, reason: 'wrong run' });
      expect(await told()).toEqual([]);
    });

    it('although its end was withdrawn', async () => {
      await event('e2', 'step-ended', { step: 'dye' });
      await event('e3', 'corrected', { event: 'e2', withdrawn: true, reason: 'not ended' });
      expect(await told()).toHaveLength(1);
    });

    it('later when the start was corrected to a later instant, queued once', async () => {
      await event('e2', 'corrected', {
        event: 'e1',
        at: plusMs(START, 12_000),
        uncertaintyMs: 500,
        reason: 'started later',
      });
      expect(await told()).toEqual([]);
      expect(await told()).toEqual([]);
      expect(await waiting()).toMatchObject([{ name: 'step-over', target: 'e1', dueAt: '2026-11-25T09:00:42.000Z' }]);
      clock.forward(12_000);
      expect(await told()).toHaveLength(1);
    });

    it('not of what was entered afterwards', async () => {
      await event('e2', 'step-started', { step: 'dye', again: true }, { at: START, late: true });
      await does(JOB_NAMES.stepOver, 'e2');
      expect(await texts()).toEqual([]);
    });
  });

  describe('controls that nobody read', () => {
    beforeEach(async () => {
      await startRun();
      clock.forward(30 * 60_000);
    });
    const told = async () => {
      await does(JOB_NAMES.controlUnread, 'run');
      return texts();
    };

    it('each by name, in one notice', async () => {
      await told();
      expect(await told()).toEqual([
        '30 min after the start of the run on station Ultrasound 1: The positive control K-positive has not been read. ' +
          'The negative control K-negative has not been read.',
      ]);
      expect(await notices()).toMatchObject([{ matter: 'control-unread:run', runId: 'run' }]);
    });

    it('only those', async () => {
      await event('e1', 'control-read', { control: 'c-positive', observed: 'bright', passed: true });
      expect(await told()).toEqual([
        '30 min after the start of the run on station Ultrasound 1: The negative control K-negative has not been read.',
      ]);
    });

    it('not once all are read, even if one failed', async () => {
      await event('e1', 'control-read', { control: 'c-positive', observed: 'bright', passed: true });
      await event('e2', 'control-read', { control: 'c-negative', observed: 'glows', passed: false });
      expect(await told()).toEqual([]);
    });

    it('not of an abandoned run', async () => {
      await event('e1', 'abandoned', { reason: 'core lost' });
      expect(await told()).toEqual([]);
    });
  });

  describe('a record that does not verify', () => {
    /** More entries than are read at a time. */
    const fill = (count: number) =>
      Promise.all(
        Array.from({ length: count }, () =>
          act((unit) => unit.add(NoticeRow, { ...seen, id: `n${unit.seq}`, matter: `m${unit.seq}` })),
        ),
      );
    const seen = { at: START, text: 'filler', seenBy: 'ada', ...NO_MORE };
    const told = async () => {
      await does(JOB_NAMES.recordCheck, laboratoryId);
      return (await texts()).filter((text) => text !== 'filler');
    };
    const tamper = (statement: string) => store.connections.writer.query(statement);

    it('not when it holds', async () => {
      await fill(1_203);
      expect(await told()).toEqual([]);
      expect(await store.read(laboratoryId, (view) => view.count(RecordRow))).toBe(1_203);
    });

    it('once, when an entry far inside was changed', async () => {
      await fill(1_203);
      await tamper(`UPDATE record_entry SET body = replace(body, '"seq":777', '"seq":778') WHERE seq = 777`);
      await told();
      expect(await told()).toEqual([
        expect.stringMatching(/^The record does not verify: entry 777 or the hash before it was changed/),
      ]);
    });

    it('when an entry was taken out', async () => {
      await fill(5);
      await tamper('DELETE FROM record_entry WHERE seq = 3');
      expect(await told()).toEqual([expect.stringContaining('entry 4 follows 2: 1 entries are missing')]);
    });

    it('when its end was cut off', async () => {
      await fill(5);
      await tamper('DELETE FROM record_entry WHERE seq > 3');
      expect(await told()).toEqual([expect.stringContaining('the chain ends with entry 3 ')]);
    });

    it('when its end is another than was written', async () => {
      await fill(5);
      await store.connections.writer.manager.update(HeadRow, { laboratoryId }, { hash: 'f'.repeat(64) });
      expect(await told()).toEqual([expect.stringContaining('but its head says 5 ffffffffffff')]);
    });

    it('by a check that queues the next one, once', async () => {
      await told();
      await told();
      await queueRecurring(store, clock);
      expect(await waiting(JOB_NAMES.recordCheck)).toMatchObject([
        { id: 'record-check:outer-quill:2026-11-26', target: laboratoryId, dueAt: '2026-11-26T04:15:00.000Z' },
      ]);
    });

    it('with jobs cleared away that were done more than 30 days ago, and those alone', async () => {
      const ages = { old: 31, young: 29 } as const;
      await store.housekeep(laboratoryId, async (unit) => {
        for (const [age, days] of Object.entries(ages)) {
          for (const state of ['done', 'failed', 'waiting'] as const) {
            await unit.enqueue('note', 'x', plusMs(clock.now(), -days * 86_400_000), `${age} ${state}`);
            await unit.change(JobRow, { id: `${age} ${state}` }, { state });
          }
        }
      });
      await told();
      const left = await store.read(laboratoryId, (view) => view.all(JobRow, { name: 'note' }));
      expect(left.map(({ id }) => id).sort()).toEqual([
        'old failed',
        'old waiting',
        'young done',
        'young failed',
        'young waiting',
      ]);
    });

    it('by a first check that every laboratory gets, once', async () => {
      await queueRecurring(store, clock);
      clock.forward(86_400_000);
      await queueRecurring(store, clock);
      expect((await waiting()).map(({ id }) => id)).toEqual([
        'alerts:outer-quill:2026-11-25T09',
        'checkpoint:outer-quill:2026-11-25T10',
        'control-tasks:outer-quill:2026-11-25T09:15',
        'record-check:outer-quill:2026-11-26',
      ]);
    });

    it('when what was signed is no longer there, though chain and head agree', async () => {
      await fill(5);
      await does(JOB_NAMES.checkpoint, laboratoryId);
      await tamper('DELETE FROM record_entry WHERE seq > 3');
      await tamper('UPDATE record_head SET seq = 3, hash = (SELECT hash FROM record_entry WHERE seq = 3)');
      expect(await told()).toEqual([
        expect.stringContaining('it was signed up to entry 5: at least 2 entries were cut off at its end'),
      ]);
    });
  });

  describe('checkpoints', () => {
    const grow = () => act((unit) => unit.add(NoticeRow, { ...filler, id: `n${unit.seq}`, matter: `m${unit.seq}` }));
    const filler = { at: START, text: 'filler', seenBy: 'ada', ...NO_MORE };
    const signed = async () =>
      (await store.read(laboratoryId, (view) => view.all(CheckpointRow, {}, { order: { number: 'ASC' } }))).map(
        ({ seq, at }) => [seq, at],
      );

    it('are signed at first and a day later, by looks that queue the next', async () => {
      await grow();
      await does(JOB_NAMES.checkpoint, laboratoryId);
      await grow();
      for (let hour = 1; hour <= 25; hour += 1) {
        clock.forward(3_600_000);
        await does(JOB_NAMES.checkpoint, laboratoryId);
      }
      expect(await signed()).toEqual([
        [1, START],
        [2, plusMs(START, 86_400_000)],
      ]);
      expect((await waiting(JOB_NAMES.checkpoint)).at(-1)!.dueAt).toBe('2026-11-26T11:00:00.000Z');
    });

    it('are not signed twice over the same entries', async () => {
      await grow();
      await does(JOB_NAMES.checkpoint, laboratoryId);
      clock.forward(200_000_000);
      await does(JOB_NAMES.checkpoint, laboratoryId);
      expect(await signed()).toHaveLength(1);
    });
  });
});
