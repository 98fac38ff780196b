import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import { Refusal } from '../../src/core/refusal.js';
import { connect } from '../../src/store/data-source.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { Store } from '../../src/store/store.js';
import type { Actor, Unit } from '../../src/store/unit.js';
import { describeOnEachDatabase, type FreshDatabase, freshPostgres } from '../support/databases.js';
import { describeWith } from '../support/needs.js';

const actor: Actor = { laboratoryId: 'outer-quill', personId: 'ada', deviceId: null };

describeOnEachDatabase('A repeated request', (fresh) => {
  let database: FreshDatabase;
  let store: Store;

  beforeEach(async () => {
    database = await fresh();
    store = new Store(await connect(database.address), new HandClock(Date.parse('2026-11-25T09:00:00.000Z')));
  });
  afterEach(async () => {
    await store.close();
    await database.drop();
  });

  const register = (label: string) => async (unit: Unit) => {
    const values = {
      kind: 'specimen' as const,
      label,
      parentId: null,
      description: 'core',
      takenAt: null,
      irreplaceable: true,
    };
    const { id } = await unit.insert(SubjectRow, values);
    unit.about('subject', id, { label });
    return id;
  };
  /** Refuses when the label is there already, as a bench refuses the second start of a step. */
  const registerOnce = (label: string) => async (unit: Unit) => {
    if (await unit.one(SubjectRow, { label })) throw new Refusal('conflict', 'there', `${label} is there.`);
    return register(label)(unit);
  };
  const entries = () => store.read('outer-quill', (view) => view.count(RecordRow));
  const act = (work: (unit: Unit) => Promise<string>, key?: string, request: unknown = {}) =>
    store.change(actor, 'subject.registered', work, key === undefined ? undefined : { key, request });

  it('whose work is refused the second time gets its first answer', async () => {
    const first = await act(registerOnce('S-1'), 'k');
    expect(await act(registerOnce('S-1'), 'k')).toBe(first);
    expect(await entries()).toBe(1);
    await expect(act(registerOnce('S-1'), 'another')).rejects.toMatchObject({ code: 'there' });
  });

  it('whose work would succeed again gets its first answer and writes nothing', async () => {
    let made = 0;
    const fresh = (unit: Unit) => register(`S-${(made += 1)}`)(unit);
    const first = await act(fresh, 'k');
    expect(await act(fresh, 'k')).toBe(first);
    expect(await entries()).toBe(1);
    expect(await store.read('outer-quill', (view) => view.count(SubjectRow))).toBe(1);
  });

  it('does not disturb the others of its batch', async () => {
    let made = 0;
    const fresh = (unit: Unit) => register(`S-${(made += 1)}`)(unit);
    const first = await act(fresh, 'k');
    const answers = await Promise.all([act(register('A')), act(fresh, 'k'), act(register('B')), act(fresh, 'k')]);
    expect([answers[1], answers[3]]).toEqual([first, first]);
    const labels = await store.read('outer-quill', (view) => view.all(SubjectRow));
    expect(labels.map(({ label }) => label).sort()).toEqual(['A', 'B', 'S-1']);
    expect(await entries()).toBe(3);
  });

  it('is refused when its key was used for another request, whether its work would succeed or not', async () => {
    await act(registerOnce('S-1'), 'k', { label: 'S-1' });
    await expect(act(registerOnce('S-1'), 'k', { label: 'other' })).rejects.toMatchObject({ code: 'key-reused' });
    await expect(act(register('S-9'), 'k', { label: 'S-9' })).rejects.toMatchObject({ code: 'key-reused' });
    expect(await entries()).toBe(1);
  });

  it('keeps text with quotes, backslashes and line ends as it is', async () => {
    const label = `O'Quill \\ "x"; DROP TABLE subject; -- ''\n\t$1 ? é 漢 🔬`;
    await act(register(label));
    const [row] = await store.read('outer-quill', (view) => view.all(SubjectRow));
    expect(row?.label).toBe(label);
  });
});

describeWith('postgres', 'A commit of which nobody knows how it ended', () => {
  it('is not done again, and its repeat with the same key has one effect', async () => {
    const database = await freshPostgres();
    const store = new Store(await connect(database.address), new HandClock(Date.parse('2026-11-25T09:00:00.000Z')));
    try {
      const add = (label: string) =>
        store.change(
          actor,
          'subject.registered',
          async (unit) => {
            const { id } = await unit.insert(SubjectRow, {
              kind: 'specimen',
              label,
              parentId: null,
              description: 'core',
              takenAt: null,
              irreplaceable: true,
            });
            unit.about('subject', id, { label });
            return id;
          },
          { key: label, request: label },
        );
      const { writer } = store.connections;
      const make = writer.createQueryRunner.bind(writer);
      // PostgreSQL commits; the answer is lost on its way, once.
      writer.createQueryRunner = (...args) => {
        const runner = make(...args);
        const query = runner.query.bind(runner);
        runner.query = (async (statement: string, ...rest: unknown[]) => {
          const answer = (await query(statement, ...(rest as []))) as unknown;
          if (statement === 'COMMIT') throw new Error('Connection terminated unexpectedly');
          return answer;
        }) as typeof runner.query;
        writer.createQueryRunner = make;
        return runner;
      };
      const outcomes = await Promise.allSettled([add('A'), add('B')]);
      for (const outcome of outcomes) {
        expect(outcome).toMatchObject({ status: 'rejected', reason: { kind: 'unavailable', code: 'outcome-unknown' } });
      }
      await Promise.all([add('A'), add('B')]);
      expect(await store.read('outer-quill', (view) => view.count(SubjectRow))).toBe(2);
      expect(await store.read('outer-quill', (view) => view.count(RecordRow))).toBe(2);
    } finally {
      await store.close();
      await database.drop();
    }
  });
});
