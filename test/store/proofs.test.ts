import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import { REQUIREMENTS } from '../../src/core/requirements/all.js';
import { proofState } from '../../src/core/requirements/requirement.js';
import { plusDays } from '../../src/core/time/days.js';
import { endOfDay, instantOfLocal } from '../../src/core/time/zone.js';
import { connect } from '../../src/store/data-source.js';
import { proofCounts, proofRows, type Proving } from '../../src/store/questions/proof/proof.js';
import { PROOFS } from '../../src/store/questions/proof/proofs.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { Store } from '../../src/store/store.js';
import { addTestLaboratory, configFor, LABORATORY } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';
import { furnishProofs, ProofDay } from '../support/proof-day.js';

const ZONE = 'Atlantic/Azores';
const EMPTY_DAY = '2026-01-05';
const GOOD_DAY = '2026-03-02';
const NOW = '2026-06-01T12:00:00.000Z';

const IDS = REQUIREMENTS.map(({ id }) => id);
/** A day of its own on which each requirement alone is not met. */
const BAD_DAY = new Map(IDS.map((id, n) => [id, plusDays(GOOD_DAY, n + 1)]));

const proving = (day: string): Proving => ({
  asking: { from: instantOfLocal(`${day}T00:00`, ZONE), to: endOfDay(day, ZONE), protocols: null },
  now: NOW,
});

describeOnEachDatabase('Each requirement', (fresh) => {
  let database: FreshDatabase;
  let store: Store;

  beforeAll(async () => {
    database = await fresh();
    const clock = new HandClock(Date.parse('2026-02-01T09:00:00.000Z'));
    await addTestLaboratory(configFor(database), clock);
    store = new Store(await connect(database.address), clock);
    await furnishProofs(store);
    await new ProofDay(store, clock, GOOD_DAY, null).happen();
    for (const [id, day] of BAD_DAY) await new ProofDay(store, clock, day, id).happen();
  });

  afterAll(async () => {
    await store.close();
    await database.drop();
  });

  const stateOn = (id: (typeof IDS)[number], day: string) =>
    store.read(LABORATORY, async (view) => {
      const { records, gaps } = await proofCounts(view, PROOFS[id], proving(day));
      return proofState(records, gaps);
    });

  it.each(IDS)(
    '%s is proven by a good day, and has a gap on its bad one, and no record on one without work',
    async (id) => {
      const bad = BAD_DAY.get(id) as string;
      // That an entry is missing can only come from outside of the program.
      if (id === 'trail-whole') {
        const { from, to } = proving(bad).asking;
        const entries = await store.read(LABORATORY, (view) => view.all(RecordRow, {}, { order: { seq: 'ASC' } }));
        const own = entries.filter(({ at }) => at >= from && at < to);
        const { writer } = store.connections;
        await writer.getRepository(RecordRow).delete({ laboratoryId: LABORATORY, seq: own[3]?.seq ?? 0 });
      }
      expect([await stateOn(id, GOOD_DAY), await stateOn(id, bad), await stateOn(id, EMPTY_DAY)]).toEqual([
        'proven',
        'gaps',
        'no record',
      ]);
    },
  );

  it('is shown page by page, whole and gaps alone, each record once and in order', async () => {
    for (const id of ['recorded-at-once', 'instruments-checked'] as const) {
      const asked = proving(BAD_DAY.get(id) as string);
      const read = async (gapsOnly: boolean): Promise<string[]> => {
        const found: string[] = [];
        let after: { at: string; id: string } | null = null;
        do {
          const rows = await store.read(LABORATORY, (view) =>
            proofRows(view, PROOFS[id], asked, { gapsOnly, take: 2, after }),
          );
          found.push(...rows.map((row) => row.id));
          after = rows.at(-1) ?? null;
        } while (after !== null);
        return found;
      };
      const { records, gaps } = await store.read(LABORATORY, (view) => proofCounts(view, PROOFS[id], asked));
      const [all, open] = [await read(false), await read(true)];
      expect([all.length, open.length]).toEqual([records, gaps]);
      expect(new Set(all).size).toBe(records);
      expect(all).toEqual(expect.arrayContaining(open));
    }
  });
});
