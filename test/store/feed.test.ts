import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import type { Changed } from '../../src/store/changed.js';
import { connect } from '../../src/store/data-source.js';
import { JobRow, NoticeRow } from '../../src/store/rows/jobs.entity.js';
import { Store } from '../../src/store/store.js';
import { describeOnEachDatabase, freshPostgres, type FreshDatabase } from '../support/databases.js';
import { describeWith } from '../support/needs.js';
import { until } from '../support/until.js';

const open = async ({ address }: FreshDatabase): Promise<Store> => {
  const store = new Store(await connect(address), new HandClock(Date.parse('2026-11-25T09:00:00.000Z')));
  await store.listen();
  return store;
};

describeOnEachDatabase('The feed of the store', (fresh) => {
  let database: FreshDatabase;
  let store: Store;
  let heard: Changed[];

  beforeEach(async () => {
    database = await fresh();
    store = await open(database);
    heard = [];
    store.feed.on('changed', (changed: Changed) => heard.push(changed));
  });

  afterEach(async () => {
    await store.close();
    await database.drop();
  });

  it('tells of housekeeping that queued a job or told a person something, and of no other', async () => {
    await store.housekeep('outer-quill', (unit) => unit.enqueue('note', 't1', undefined, 'j1'));
    await store.housekeep('outer-quill', (unit) => unit.change(JobRow, { id: 'j1' }, { state: 'done' }));
    await store.housekeep('outer-quill', (unit) => unit.tell('lamp', 'The lamp is broken'));
    await store.housekeep('outer-quill', (unit) => unit.tell('lamp', 'The lamp is still broken'));
    await until('both are heard', () => heard.length >= 2);
    const notices = await store.read('outer-quill', (view) => view.all(NoticeRow));
    expect(notices.map(({ text }) => text)).toEqual(['The lamp is broken']);
    const common = { laboratoryId: 'outer-quill', seq: 0, act: 'housekeeping' };
    expect(heard).toEqual([
      { ...common, subject: { kind: 'laboratory', id: 'outer-quill' }, jobs: true },
      { ...common, subject: { kind: 'notice', id: notices[0]!.id }, jobs: false },
    ]);
  });
});

describeWith('postgres', 'The feed of the store when its connection is cut', () => {
  it('says that something may have been missed, and goes on', async () => {
    const database = await freshPostgres();
    const store = await open(database);
    try {
      let missed = 0;
      const heard: Changed[] = [];
      store.feed.on('missed', () => (missed += 1));
      store.feed.on('changed', (changed: Changed) => heard.push(changed));
      await store.connections.writer.query(
        `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND query LIKE 'LISTEN%'`,
      );
      await until('it says so', () => missed === 1);
      await store.housekeep('outer-quill', (unit) => unit.tell('lamp', 'The lamp is broken'));
      await until('the next is heard', () => heard.length === 1);
    } finally {
      await store.close();
      await database.drop();
    }
  });
});
