import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import { judge } from '../../src/core/gate/judge.js';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import { canonicalText, chainHash, type Entry, GENESIS, rowHash } from '../../src/core/record/record.js';
import type { RunEventData, RunEventKind } from '../../src/core/run/events.js';
import { connect } from '../../src/store/data-source.js';
import { lastSeq } from '../../src/store/questions/entries.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { loadRun, runFacts } from '../../src/store/questions/runs.js';
import { rowContent } from '../../src/store/unit.js';
import { laboratoryIds, type RecordFault, verifyRecord } from '../../src/store/questions/verify.js';
import { CompetenceRow } from '../../src/store/rows/competence.entity.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { RevisionActRow, RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { HeadRow, RecordRow, SealedRow } from '../../src/store/rows/record.entity.js';
import { ReleaseRow, RunEventRow, RunRow, RunSubjectRow } from '../../src/store/rows/runs.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { Store } from '../../src/store/store.js';
import type { Actor, Unit } from '../../src/store/unit.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

const LABORATORY = 'outer-quill';
const actor: Actor = { laboratoryId: LABORATORY, personId: 'isolde', deviceId: null };

const protocol: Protocol = {
  format: 'stainwright-protocol/1',
  id: 'look-only',
  title: 'Look only',
  purpose: 'a protocol of one step for the check of the record',
  category: 'routine',
  setting: 'laboratory',
  material: { form: 'section', description: 'one section', irreplaceable: false },
  expected: 'anything',
  steps: [
    {
      id: 'image',
      action: 'Image',
      vessel: 'stage',
      time: {
        min: 10,
        target: 20,
        max: 60,
        unit: 's',
        status: 'set by this laboratory',
        window: 'set by this laboratory',
      },
      end: 'clock',
      critical: true,
      handsOn: { start: 1, end: 1 },
      sources: [],
    },
  ],
  releasePoints: [{ id: 'slide', title: 'Stained slide', of: 'slide', after: 'image' }],
  controls: [],
  cautions: [],
  fitness: [],
  sources: [],
};

describeOnEachDatabase('The check of the record', (fresh) => {
  let database: FreshDatabase;
  let store: Store;
  let clock: HandClock;
  let runId: string;
  let subjectId: string;

  beforeEach(async () => {
    database = await fresh();
    clock = new HandClock(Date.parse('2026-11-25T09:00:00.000Z'));
    store = new Store(await connect(database.address), clock);
    await play();
  });

  afterEach(async () => {
    await store.close();
    await database.drop();
  });

  /** A laboratory with one released slide: 8 entries. */
  async function play(): Promise<void> {
    await act('laboratory.set-up', async (unit) => {
      await addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Atlantic/Azores', demo: true, driftPpm: 100 });
      const account = { login: 'isolde', name: 'Isolde', roles: ['technician' as const], passwordHash: '' };
      const free = { disabled: false, failures: 0, lockedUntil: null, createdAt: unit.at };
      await unit.add(PersonRow, { id: 'isolde', ...account, ...free });
      unit.about('laboratory', LABORATORY);
    });
    const revisionId = await act('revision.approved', async (unit) => {
      const content = { protocolId: protocol.id, number: 1, title: protocol.title, content: protocol };
      const { id } = await unit.insert(RevisionRow, { ...content, contentHash: '', basedOn: null });
      const approved = { revisionId: id, kind: 'approved' as const, at: unit.at, personId: 'isolde' };
      await unit.insert(RevisionActRow, { ...approved, data: { effectiveFrom: unit.at } });
      const assessed = { personId: 'isolde', protocolId: protocol.id, decision: 'competent' as const, at: unit.at };
      const signature = {
        personId: 'isolde',
        name: 'Isolde',
        at: unit.at,
        meaning: 'approval' as const,
        recordHash: '',
      };
      await unit.insert(CompetenceRow, { ...assessed, revision: 1, elements: [], reason: 'invented', signature });
      unit.about('revision', id);
      return id;
    });
    subjectId = await act('subject.registered', async (unit) => {
      const slide = { kind: 'slide' as const, label: 'SW1:L:QUAY-0001', parentId: null, description: 'invented slide' };
      const { id } = await unit.insert(SubjectRow, { ...slide, takenAt: null, irreplaceable: false });
      await unit.seal(id, 'patient name', 'Quillan Testperson');
      unit.about('subject', id);
      return id;
    });
    runId = await act('run.started', async (unit) => {
      const values = { revisionId, station: 'H&E line', purpose: 'patients' as const, startedAt: unit.at };
      const { id } = await unit.insert(RunRow, { ...values, personId: 'isolde' });
      await unit.insert(RunSubjectRow, { runId: id, subjectId, role: 'patient', control: null });
      unit.about('run', id);
      return id;
    });
    await event('identity-confirmed', { subject: subjectId });
    await event('step-started', { step: 'image' });
    clock.forward(20_000);
    await event('step-ended', { step: 'image' });
    await act('run.released', async (unit) => {
      const judged = await judgement(unit);
      const at = { runId, subjectId, point: 'slide', kind: 'stained material' as const, wordsId: null };
      const signature = {
        personId: 'isolde',
        name: 'Isolde',
        at: unit.at,
        meaning: 'release' as const,
        recordHash: '',
      };
      await unit.insert(ReleaseRow, { ...at, ...judged, signature });
      unit.about('run', runId);
    });
  }

  async function judgement(unit: Unit): Promise<Pick<ReleaseRow, 'verdict' | 'findings' | 'judgedTo' | 'rules'>> {
    const judged = judge(await runFacts(unit, await loadRun(unit, runId), await lastSeq(unit)));
    const { verdict, findings } = judged.subjects[0]!.points[0]!;
    expect(verdict).toBe('clear');
    return { verdict, findings, judgedTo: judged.judgedTo, rules: judged.rules };
  }

  const act = <T>(name: string, work: (unit: Unit) => Promise<T>): Promise<T> => store.change(actor, name, work);

  const event = <K extends RunEventKind>(kind: K, data: RunEventData[K]): Promise<void> =>
    act(`run.${kind}`, async (unit) => {
      const stamp = { device: 'bench', at: unit.at, uncertaintyMs: 0, monotonicMs: null, offsetMs: 0, roundTripMs: 0 };
      const row = { runId, kind, data, stamp: { ...stamp, late: true }, personId: 'isolde', receivedAt: unit.at };
      await unit.insert(RunEventRow, row);
      unit.about('run', runId);
    });

  async function verified(): Promise<{ faults: RecordFault[]; counts: ReturnType<typeof verifyRecord>['counts'] }> {
    return store.read(LABORATORY, async (view) => {
      const { counts, faults } = verifyRecord(view);
      const all: RecordFault[] = [];
      for await (const fault of faults) all.push(fault);
      return { faults: all, counts };
    });
  }

  /** Faults as [record number, table, code]. */
  const places = async (): Promise<unknown[]> =>
    (await verified()).faults.map(({ seq, table, code }) => [seq, table, code]);

  /** What somebody with the database in hand can do. */
  const tamper = (sql: string, values: unknown[] = []): Promise<unknown> => store.connections.writer.query(sql, values);

  const entryAt = async (seq: number): Promise<RecordRow> =>
    store.read(LABORATORY, (view) => view.need(RecordRow, { seq }, `entry ${seq}`));

  /** Whoever knows the hash rule can make the rest of the chain anew from an entry on. */
  async function forge(seq: number, change: (entry: Entry) => Entry): Promise<void> {
    let previous = seq === 1 ? GENESIS : (await entryAt(seq - 1)).hash;
    for (let n = seq; n <= 8; n += 1) {
      const { body } = await entryAt(n);
      const forged = n === seq ? canonicalText(change(JSON.parse(body) as Entry)) : body;
      previous = chainHash(previous, forged);
      await tamper('UPDATE record_entry SET body = $1, hash = $2 WHERE seq = $3', [forged, previous, n]);
    }
    await tamper('UPDATE record_head SET hash = $1', [previous]);
  }

  /** What the program would pin of such a row. */
  function hashOf(row: object): string {
    return rowHash(rowContent(store.connections.reader.getMetadata(ReleaseRow), row));
  }

  it('finds nothing in an untouched record, and looks at all of it', async () => {
    expect(await verified()).toEqual({
      faults: [],
      counts: {
        entries: 8,
        last: { seq: 8, hash: expect.any(String) as unknown },
        rows: 11,
        removed: 0,
        releases: 1,
        otherRules: 0,
      },
    });
    expect(await store.read('', laboratoryIds)).toEqual([LABORATORY]);
  });

  it('finds a changed entry', async () => {
    await tamper(`UPDATE record_entry SET body = replace(body, 'isolde', 'nobody') WHERE seq = 4`);
    expect(await places()).toEqual([
      [4, 'record_entry', 'changed'],
      [4, 'record_entry', 'copied-wrong'],
    ]);
  });

  it('finds a changed entry whose own hash was made to fit', async () => {
    const { body, hash } = await entryAt(5);
    const forged = body.replace('2026', '2025');
    const before = (await entryAt(4)).hash;
    expect(chainHash(before, body)).toBe(hash);
    await tamper('UPDATE record_entry SET body = $1, hash = $2 WHERE seq = 5', [forged, chainHash(before, forged)]);
    expect(await places()).toEqual([
      [5, 'record_entry', 'copied-wrong'],
      [6, 'record_entry', 'changed'],
    ]);
  });

  it('finds columns of an entry that do not say what its body says', async () => {
    await tamper(`UPDATE record_entry SET person_id = 'nobody' WHERE seq = 6`);
    expect(await places()).toEqual([[6, 'record_entry', 'copied-wrong']]);
  });

  it('finds an entry that cannot be read', async () => {
    await tamper(`UPDATE record_entry SET body = '{"v":1}' WHERE seq = 5`);
    expect(await places()).toEqual([
      [5, 'record_entry', 'unreadable'],
      [5, 'run_event', 'row-unnamed'],
    ]);
  });

  it('finds entries that were cut out of the middle', async () => {
    await tamper('DELETE FROM record_entry WHERE seq IN (5, 6)');
    expect(await places()).toEqual([
      [7, 'record_entry', 'gap'],
      [5, 'run_event', 'row-unnamed'],
      [6, 'run_event', 'row-unnamed'],
    ]);
  });

  it('finds entries that were cut out and the rest renumbered', async () => {
    await tamper('DELETE FROM record_entry WHERE seq = 5');
    for (const seq of [6, 7, 8]) await tamper('UPDATE record_entry SET seq = $1 WHERE seq = $2', [seq - 1, seq]);
    const found = await places();
    expect(found[0]).toEqual([5, 'record_entry', 'changed']);
    expect(found).toContainEqual([7, 'record_head', 'head']);
  });

  it('finds entries in another order', async () => {
    await tamper('UPDATE record_entry SET seq = 99 WHERE seq = 5');
    await tamper('UPDATE record_entry SET seq = 5 WHERE seq = 6');
    await tamper('UPDATE record_entry SET seq = 6 WHERE seq = 99');
    expect(await places()).toEqual(
      expect.arrayContaining([
        [5, 'record_entry', 'changed'],
        [6, 'record_entry', 'changed'],
        [7, 'record_entry', 'changed'],
      ]),
    );
  });

  it('finds an entry put in before the first', async () => {
    await tamper(
      `INSERT INTO record_entry SELECT laboratory_id, 0, at, act, subject_kind, subject_id, person_id, body, hash
       FROM record_entry WHERE seq = 1`,
    );
    expect(await places()).toContainEqual([0, 'record_entry', 'gap']);
  });

  it('finds a cut end while the head still tells of it', async () => {
    await tamper('DELETE FROM record_entry WHERE seq = 8');
    expect(await places()).toEqual([
      [7, 'record_head', 'head'],
      [8, 'release', 'row-unnamed'],
    ]);
  });

  it.each([
    [
      'a column of a row',
      `UPDATE run_event SET received_at = '2026-11-25T08:00:00.000Z' WHERE seq = 7`,
      7,
      'run_event',
    ],
    ['the JSON of a row', `UPDATE run_event SET data = '{"step":"other"}' WHERE seq = 7`, 7, 'run_event'],
    ['the JSON of a row into something else', `UPDATE run_event SET data = '{"step' WHERE seq = 7`, 7, 'run_event'],
    ['the owner of a sealed value', `UPDATE sealed_value SET owner_id = 'other'`, 3, 'sealed_value'],
    ['the flag of a row', `UPDATE subject SET irreplaceable = true`, 3, 'subject'],
    ['the number of a row', `UPDATE subject SET seq = 2`, 3, 'subject'],
  ])('finds that somebody changed %s', async (_what, sql, seq, table) => {
    await tamper(sql);
    const { faults } = await verified();
    expect(faults[0]).toMatchObject({
      laboratory: LABORATORY,
      seq,
      table,
      code: 'row-changed',
      id: expect.any(String),
    });
    expect(faults.filter(({ code }) => code !== 'verdict-changed')).toHaveLength(1);
  });

  it('finds two rows whose times were swapped', async () => {
    const [six, seven] = [6, 7].map((seq) => store.read(LABORATORY, (view) => view.one(RunEventRow, { seq })));
    const stamps = [(await seven)!.stamp, (await six)!.stamp].map((stamp) => JSON.stringify(stamp));
    await tamper('UPDATE run_event SET stamp = $1 WHERE seq = 6', [stamps[0]]);
    await tamper('UPDATE run_event SET stamp = $1 WHERE seq = 7', [stamps[1]]);
    expect((await places()).slice(0, 2)).toEqual([
      [6, 'run_event', 'row-changed'],
      [7, 'run_event', 'row-changed'],
    ]);
  });

  it('finds a removed row and a row that was put in', async () => {
    await tamper('DELETE FROM run_event WHERE seq = 5');
    const { id } = await store.read(LABORATORY, (view) => view.need(RunEventRow, { seq: 7 }, 'event'));
    await tamper(
      `INSERT INTO run_event (id, laboratory_id, seq, run_id, kind, data, stamp, person_id, received_at)
       SELECT 'made-up', laboratory_id, 7, run_id, kind, data, stamp, person_id, received_at FROM run_event WHERE id = $1`,
      [id],
    );
    expect(await places()).toEqual([
      [5, 'run_event', 'row-missing'],
      [7, 'run_event', 'row-unnamed'],
      [8, 'release', 'verdict-changed'],
    ]);
    expect((await verified()).faults[1]).toMatchObject({ id: 'made-up' });
  });

  it('finds a row put in beyond the end of the record, and one of a laboratory that has none', async () => {
    const columns = 'kind, label, parent_id, description, taken_at, irreplaceable';
    const copy = (id: string, laboratory: string, seq: number): Promise<unknown> =>
      tamper(
        `INSERT INTO subject (id, laboratory_id, seq, ${columns})
         SELECT $1, $2, ${seq}, kind, $1, parent_id, description, taken_at, irreplaceable FROM subject WHERE id = $3`,
        [id, laboratory, subjectId],
      );
    await copy('later', LABORATORY, 4000);
    await copy('elsewhere', 'nowhere', 1);
    expect(await places()).toEqual([[4000, 'subject', 'row-unnamed']]);
    expect(await store.read('', laboratoryIds)).toEqual(['nowhere', LABORATORY]);
  });

  it('counts a value removed by law and takes it for no fault', async () => {
    await tamper('UPDATE sealed_value SET value = NULL');
    expect(await verified()).toMatchObject({ faults: [], counts: { removed: 1, rows: 11 } });
    expect(await store.read(LABORATORY, (view) => view.count(SealedRow))).toBe(1);
  });

  it('finds a verdict that its facts do not give, even when row and chain were made to fit', async () => {
    const [release] = await store.read(LABORATORY, (view) => view.all(ReleaseRow));
    await tamper(`UPDATE release SET verdict = 'held'`);
    expect(await places()).toEqual([
      [8, 'release', 'row-changed'],
      [8, 'release', 'verdict-changed'],
    ]);
    const sha256 = hashOf({ ...release, verdict: 'held' });
    await forge(8, (entry) => ({ ...entry, rows: [{ ...entry.rows[0]!, sha256 }] }));
    const { faults } = await verified();
    expect(faults).toHaveLength(1);
    expect(faults[0]).toMatchObject({ seq: 8, table: 'release', id: release!.id, code: 'verdict-changed' });
    expect(faults[0]!.message).toContain('held, entered-late:run; the facts up to entry 7 give clear');
  });

  it('leaves a verdict of other rules alone and counts it', async () => {
    const [release] = await store.read(LABORATORY, (view) => view.all(ReleaseRow));
    await tamper(`UPDATE release SET rules = 'elsewhen'`);
    const sha256 = hashOf({ ...release, rules: 'elsewhen' });
    await forge(8, (entry) => ({ ...entry, rows: [{ ...entry.rows[0]!, sha256 }] }));
    expect(await verified()).toMatchObject({ faults: [], counts: { releases: 1, otherRules: 1 } });
  });

  it('tells the head apart from the chain', async () => {
    await tamper(`UPDATE record_head SET hash = '${GENESIS}'`);
    expect(await places()).toEqual([[8, 'record_head', 'head']]);
    expect(await store.read(LABORATORY, (view) => view.count(HeadRow))).toBe(1);
  });
});
