import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import type { Entry } from '../../src/core/record/record.js';
import { GENESIS, linkFault } from '../../src/core/record/record.js';
import { connect, disconnect } from '../../src/store/data-source.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { JobRow } from '../../src/store/rows/jobs.entity.js';
import { Store } from '../../src/store/store.js';
import type { Actor, Unit } from '../../src/store/unit.js';
import { describeOnEachDatabase, describeOnEachEmptyDatabase, type FreshDatabase } from '../support/databases.js';
import { until } from '../support/until.js';

const actor: Actor = { laboratoryId: 'outer-quill', personId: 'ada', deviceId: null };

describeOnEachEmptyDatabase('The migrations', (empty) => {
  it('make a schema that the rows do not drift from', async () => {
    const database = await empty();
    const connections = await connect(database.address);
    try {
      const pending = await connections.writer.driver.createSchemaBuilder().log();
      expect(pending.upQueries.map(({ query }) => query)).toEqual([]);
    } finally {
      await disconnect(connections);
      await database.drop();
    }
  });
});

describeOnEachDatabase('The store', (fresh) => {
  let database: FreshDatabase;
  let store: Store;

  beforeEach(async () => {
    database = await fresh();
    store = new Store(await connect(database.address), new HandClock(Date.parse('2026-11-25T09:00:00.000Z')));
    await store.listen();
  });

  afterEach(async () => {
    await store.close();
    await database.drop();
  });

  const addSpecimen = (label: string) => async (unit: Unit) => {
    const row = await unit.insert(SubjectRow, {
      kind: 'specimen',
      label,
      parentId: null,
      description: 'core, neck lymph node',
      takenAt: null,
      irreplaceable: true,
    });
    unit.about('subject', row.id, { label });
    return row.id;
  };
  const labels = async (): Promise<string[]> =>
    (await store.read('outer-quill', (view) => view.all(SubjectRow))).map(({ label }) => label).sort();
  const chain = () => store.read('outer-quill', (view) => view.all(RecordRow, {}, { order: { seq: 'ASC' } }));

  it('keeps every acknowledged act and none of the failed ones when many write at once', async () => {
    const outcomes = await Promise.allSettled(
      Array.from({ length: 200 }, (_, n) =>
        store.change(actor, 'subject.registered', async (unit) => {
          const id = await addSpecimen(`S-${n}`)(unit);
          if (n % 7 === 3) throw new Error('thrown on purpose');
          return id;
        }),
      ),
    );
    const kept = outcomes.flatMap(({ status }, n) => (status === 'fulfilled' ? [`S-${n}`] : []));
    expect(kept).toHaveLength(171);
    expect(await labels()).toEqual(kept.sort());
    let previous = { seq: 0, hash: GENESIS };
    const links = await chain();
    expect(links).toHaveLength(171);
    for (const link of links) {
      expect(linkFault(previous, link)).toBeNull();
      previous = link;
    }
  });

  it('reads beside a running write without seeing what is not committed', async () => {
    let seenInside: string[] = ['not read'];
    await store.change(actor, 'subject.registered', async (unit) => {
      const id = await addSpecimen('S-1')(unit);
      seenInside = await labels();
      return id;
    });
    expect(seenInside).toEqual([]);
    expect(await labels()).toEqual(['S-1']);
  });

  it('rejects only the unit that breaks a rule of the database', async () => {
    const outcomes = await Promise.allSettled(
      ['S-1', 'S-2', 'S-1', 'S-3'].map((label) => store.change(actor, 'subject.registered', addSpecimen(label))),
    );
    expect(outcomes.map(({ status }) => status)).toEqual(['fulfilled', 'fulfilled', 'rejected', 'fulfilled']);
    expect(await labels()).toEqual(['S-1', 'S-2', 'S-3']);
    expect(await chain()).toHaveLength(3);
  });

  it('answers the repeat of a request with the first answer and does nothing', async () => {
    const once = { key: 'k1', request: { label: 'S-1' } };
    const answers = await Promise.all(
      [1, 2, 3].map(() => store.change(actor, 'subject.registered', addSpecimen('S-1'), once)),
    );
    expect(new Set(answers).size).toBe(1);
    expect(await labels()).toEqual(['S-1']);
    await expect(
      store.change(actor, 'subject.registered', addSpecimen('S-2'), { key: 'k1', request: { label: 'S-2' } }),
    ).rejects.toMatchObject({ code: 'key-reused', kind: 'conflict' });
    expect(await labels()).toEqual(['S-1']);
  });

  it('refuses an act that wrote without saying what it was about', async () => {
    await expect(
      store.change(actor, 'subject.registered', async (unit) => {
        await unit.seal('x', 'words', 'said aloud');
      }),
    ).rejects.toThrow('without saying what it was about');
    expect(await chain()).toEqual([]);
  });

  it('keeps a patient’s identifier out of the chain', async () => {
    await store.change(actor, 'subject.registered', async (unit) => {
      const id = await addSpecimen('S-1')(unit);
      await unit.seal(id, 'patient name', 'Quillan Testperson');
    });
    const [entry] = await chain();
    expect(entry?.body).not.toContain('Quillan');
    expect((JSON.parse(entry?.body ?? '') as Entry).rows.map(({ table }) => table)).toEqual([
      'subject',
      'sealed_value',
    ]);
  });

  it('tells of each change once, in order, after its commit', async () => {
    const heard: number[] = [];
    store.feed.on('changed', ({ seq }: { seq: number }) => heard.push(seq));
    await Promise.all(
      Array.from({ length: 20 }, (_, n) => store.change(actor, 'subject.registered', addSpecimen(`S-${n}`))),
    );
    await until('all are heard', () => heard.length >= 20);
    expect(heard).toEqual(Array.from({ length: 20 }, (_, n) => n + 1));
  });

  it('queues a job with the act that needs it, and not without', async () => {
    await store.change(actor, 'subject.registered', async (unit) => {
      await addSpecimen('S-1')(unit);
      await unit.enqueue('step-over', 'e1');
    });
    await store
      .change(actor, 'subject.registered', async (unit) => {
        await addSpecimen('S-2')(unit);
        await unit.enqueue('step-over', 'e2');
        throw new Error('thrown on purpose');
      })
      .catch(() => undefined);
    const jobs = await store.read('outer-quill', (view) => view.all(JobRow));
    expect(jobs.map(({ target, state }) => [target, state])).toEqual([['e1', 'waiting']]);
  });

  it('housekeeps without an entry, and never writes facts that way', async () => {
    await store.housekeep('outer-quill', (unit) => unit.enqueue('step-over', 'e1'));
    await expect(store.housekeep('outer-quill', addSpecimen('S-1'))).rejects.toThrow('no facts');
    expect(await chain()).toEqual([]);
    expect(await store.read('outer-quill', (view) => view.count(PersonRow))).toBe(0);
  });
});
