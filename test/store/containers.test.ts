import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import type { Reagent } from '../../src/core/protocol/protocol.js';
import { connect } from '../../src/store/data-source.js';
import { containerFacts } from '../../src/store/questions/containers.js';
import { ContainerActRow, ContainerRow, LotActRow, LotRow, ReagentRow } from '../../src/store/rows/stock.entity.js';
import { Store } from '../../src/store/store.js';
import type { Actor, Unit } from '../../src/store/unit.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

const actor: Actor = { laboratoryId: 'outer-quill', personId: 'ada', deviceId: null };

describeOnEachDatabase('What is known about containers', (fresh) => {
  let database: FreshDatabase;
  let store: Store;
  const at = '2026-11-25T09:00:00.000Z';

  beforeEach(async () => {
    database = await fresh();
    store = new Store(await connect(database.address), new HandClock(Date.parse(at)));
  });

  afterEach(async () => {
    await store.close();
    await database.drop();
  });

  const act = <T>(work: (unit: Unit) => Promise<T>): Promise<T> =>
    store.change(actor, 'test.act', async (unit) => {
      unit.about('test', 'test');
      return work(unit);
    });
  const reagent = (content: Reagent) => act((unit) => unit.insert(ReagentRow, { code: content.code, content }));
  const lot = (id: string, reagentCode: string) =>
    act((unit) =>
      unit.insert(LotRow, {
        id,
        reagentCode,
        number: `N-${id}`,
        gtin: null,
        origin: 'supplied',
        source: 'Quill Dyeworks',
        receivedAt: at,
        expiry: '2027-03',
        openedLife: 'P30D',
        limits: [{ by: 'expiry', until: '2027-04-01T00:00:00.000Z' }],
        strength: null,
        storage: null,
      }),
    );
  const container = (id: string, lotId: string) =>
    act((unit) => unit.insert(ContainerRow, { id, lotId, label: `C-${id}`, serial: null, size: null }));

  it('answers them in the order asked, only from facts up to the record number', async () => {
    await reagent({ code: 'xylene', name: 'Xylene', kind: 'solvent', acceptedInstead: ['xylene-substitute'] });
    await lot('l1', 'xylene-substitute');
    await container('a', 'l1');
    await container('b', 'l1');
    await act((unit) =>
      unit.insert(LotActRow, { lotId: 'l1', at, personId: 'ada', standing: 'accepted', reason: 'compared' }),
    );
    const opened = await act((unit) =>
      unit.insert(ContainerActRow, {
        containerId: 'a',
        at,
        personId: 'ada',
        state: 'opened',
        until: '2026-12-26T00:00:00.000Z',
        reason: null,
      }),
    );
    const recalled = await act((unit) =>
      unit.insert(LotActRow, { lotId: 'l1', at, personId: 'ada', standing: 'recalled', reason: 'letter' }),
    );
    const [b, a, ...none] = await store.read('outer-quill', (view) =>
      containerFacts(view, ['b', 'a', 'nowhere', 'a'], opened.seq),
    );
    expect(none).toEqual([]);
    expect(b).toMatchObject({ id: 'b', states: [], limits: [{ by: 'expiry' }] });
    expect(a).toEqual({
      id: 'a',
      label: 'C-a',
      reagent: 'xylene-substitute',
      acceptedAs: ['xylene'],
      lot: { id: 'l1', number: 'N-l1', standing: [{ at, standing: 'accepted', seq: opened.seq - 1 }] },
      states: [{ at, state: 'opened' }],
      limits: [
        { by: 'expiry', until: '2027-04-01T00:00:00.000Z' },
        { by: 'opened', until: '2026-12-26T00:00:00.000Z' },
      ],
    });
    const [later] = await store.read('outer-quill', (view) => containerFacts(view, ['a']));
    expect(later?.lot.standing.at(-1)).toEqual({ at, standing: 'recalled', seq: recalled.seq });
    const [before] = await store.read('outer-quill', (view) => containerFacts(view, ['a'], opened.seq - 1));
    expect(before?.states).toEqual([]);
    expect(await store.read('outer-quill', (view) => containerFacts(view, ['a'], 1))).toEqual([]);
    expect(await store.read('elsewhere', (view) => containerFacts(view, ['a']))).toEqual([]);
  });

  it('takes the latest catalogue entry of a code, as it stood at the record number', async () => {
    const first = await reagent({ code: 'xylene', name: 'Xylene', kind: 'solvent', acceptedInstead: ['limonene'] });
    await lot('l1', 'limonene');
    const bottle = await container('a', 'l1');
    await reagent({ code: 'xylene', name: 'Xylene', kind: 'solvent' });
    const facts = (seq?: number) => store.read('outer-quill', (view) => containerFacts(view, ['a'], seq));
    expect(first.seq).toBeLessThan(bottle.seq);
    expect((await facts(bottle.seq))[0]?.acceptedAs).toEqual(['xylene']);
    expect((await facts())[0]?.acceptedAs).toBeUndefined();
  });
});
