import type { Api } from '../client.js';
import type { OrderDto } from '../contract/orders.dto.js';
import { makeLabel } from '../core/gs1/label.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { endOfDay, localDay } from '../core/time/zone.js';
import { MovementRow } from '../store/rows/ledger.entity.js';
import { ContainerActRow, ContainerRow, LotActRow, LotRow } from '../store/rows/stock.entity.js';
import type { Store } from '../store/store.js';
import { LABORATORY } from './laboratory.js';

const DAY_MS = 86_400_000;
const MICRO = 1_000_000;

/** What was used of a reagent before today: the amounts of the days of a week, in mL, over and over. */
interface Past {
  reagent: string;
  days: number;
  week: readonly number[];
  /** Bottles of one lot, received when the days began; what they hold in mL, and days of use that are left from today. */
  bottles: number;
  size: number;
  left: number;
}

const PAST: readonly Past[] = [
  { reagent: 'harris-haematoxylin', days: 84, week: [80, 65, 90, 75, 100, 0, 0], bottles: 10, size: 500, left: 150 },
  { reagent: 'nbf-10', days: 70, week: [400, 350, 420, 380, 450, 90, 60], bottles: 6, size: 5000, left: 200 },
  { reagent: 'acid-alcohol-1', days: 60, week: [20, 25, 20, 30, 25, 0, 0], bottles: 4, size: 500, left: 16 },
  { reagent: 'dab-chromogen', days: 77, week: [0, 0, 30, 0, 0, 0, 0], bottles: 4, size: 100, left: 45 },
];

const SUPPLIERS = [
  {
    code: 'tidewater',
    name: 'Tidewater Reagents (invented)',
    address: 'Quay 3\nLower Saltmarrow',
    email: 'orders@tidewater.example',
    customerNumber: 'OQ-77',
    approved: true,
  },
  { code: 'tarn-and-wick', name: 'Tarn & Wick supply (invented)', address: 'The Old Wick\nTarnhead', approved: true },
];

const product = (code: string, supplier: string, reagent: string, name: string, more: object): object => ({
  code,
  supplier,
  reagent,
  name,
  containers: 1,
  minimumPacks: 1,
  leadDays: 7,
  leadSdDays: 2,
  shelfLifeDays: 365,
  offered: true,
  ...more,
});
const mL = (value: number): { amount: { value: number; unit: string } } => ({ amount: { value, unit: 'mL' } });

const PRODUCTS = [
  product('tidewater-harris-4x500', 'tidewater', 'harris-haematoxylin', 'Harris haematoxylin', {
    itemNumber: 'TW-2207',
    containers: 4,
    priceCents: 9640,
    ...mL(500),
  }),
  product('tidewater-nbf-5000', 'tidewater', 'nbf-10', 'Neutral buffered formalin 10 %', {
    itemNumber: 'TW-1010',
    containers: 2,
    priceCents: 5280,
    leadDays: 5,
    ...mL(5000),
  }),
  product('tidewater-acid-alcohol-500', 'tidewater', 'acid-alcohol-1', 'Acid alcohol 1 %', {
    itemNumber: 'TW-3301',
    priceCents: 1450,
    ...mL(500),
  }),
  product('tarn-dab-100', 'tarn-and-wick', 'dab-chromogen', 'DAB chromogen', {
    itemNumber: 'TA-88',
    priceCents: 21_400,
    leadDays: 12,
    leadSdDays: 3,
    shelfLifeDays: 120,
    minimumPacks: 2,
    ...mL(100),
  }),
  product('tidewater-xylene-2500', 'tidewater', 'xylene', 'Xylene', {
    itemNumber: 'TW-9001',
    containers: 2,
    priceCents: 7120,
    ...mL(2500),
  }),
];

/** Who sells what, one order on its way, one partly in, and what was used in the weeks before the laboratory was set up. */
export async function furnishOrders(
  store: Store,
  { manager, director }: { manager: Api; director: Api },
  { laboratoryId, now }: { laboratoryId: string; now: Instant },
): Promise<void> {
  await takeOverPast(store, laboratoryId, now);
  await director.post('/buying', {
    currency: 'EUR',
    signedAboveCents: 50_000,
    deliverTo: 'Stores, back door\nOuter Quill',
  });
  for (const supplier of SUPPLIERS) await manager.post('/suppliers', supplier);
  for (const each of PRODUCTS) await manager.post('/products', each);
  await manager.post('/stock-policies/harris-haematoxylin', {
    serviceLevel: 0.98,
    coverDays: 28,
    reviewDays: 1,
    acceptanceDays: 3,
    method: 'weekdays',
    alpha: 0.1,
    beta: 0.05,
  });
  const sent = async (supplier: string, lines: object[]): Promise<OrderDto> => {
    const { id } = await manager.post<OrderDto>('/orders', { supplier, lines });
    await manager.post(`/orders/${id}/approve`, { seen: 1 });
    return manager.post<OrderDto>(`/orders/${id}/sent`, { how: 'e-mail' });
  };
  const partly = await sent('tidewater', [{ product: 'tidewater-xylene-2500', packs: 2 }]);
  await manager.post(`/orders/${partly.id}/receipts`, {
    line: 0,
    number: 'TW-26-88',
    expiry: localDay(plusMs(now, 500 * DAY_MS), LABORATORY.zone),
    containers: [{}, {}],
  });
  await sent('tidewater', [{ product: 'tidewater-nbf-5000', packs: 1 }]);
}

/** The API books nothing before the receipt of a bottle, so the weeks before are taken over at once, as from an older book. */
async function takeOverPast(store: Store, laboratoryId: string, now: Instant): Promise<void> {
  await store.change({ laboratoryId, personId: null, deviceId: null }, 'ledger.taken-over', async (unit) => {
    for (const [n, { reagent, days, week, bottles, size, left }] of PAST.entries()) {
      const dayOf = (day: number): Instant => plusMs(now, (day - days) * DAY_MS);
      const receivedAt = dayOf(0);
      const expiry = localDay(plusMs(now, left * DAY_MS), LABORATORY.zone);
      const lot = await unit.insert(LotRow, {
        reagentCode: reagent,
        number: `OLD-${n + 1}`,
        origin: 'supplied',
        source: 'Tidewater Reagents (invented)',
        receivedAt,
        expiry,
        limits: [{ by: 'expiry', until: endOfDay(expiry, LABORATORY.zone) }],
      });
      const reason = 'Invented: taken over from the book before.';
      await unit.insert(LotActRow, { lotId: lot.id, at: receivedAt, standing: 'accepted', reason });
      const book = (kind: MovementRow['kind'], containerId: string, mLs: number, at: Instant): Promise<MovementRow> =>
        unit.insert(MovementRow, {
          kind,
          containerId,
          reagentCode: reagent,
          micro: mLs * MICRO,
          at,
          day: localDay(at, LABORATORY.zone),
        });
      const shelf: { id: string; held: number }[] = [];
      for (let bottle = 0; bottle < bottles; bottle += 1) {
        const label = makeLabel('C', `OLD-${n + 1}${bottle + 1}`.replaceAll('O', 'Q').replaceAll('L', 'K'));
        const { id } = await unit.insert(ContainerRow, {
          lotId: lot.id,
          label,
          size: `${size} mL`,
          micro: size * MICRO,
        });
        await book('received', id, size, receivedAt);
        shelf.push({ id, held: size });
      }
      for (let day = 0; day < days; day += 1) {
        let open = week[day % week.length] ?? 0;
        while (open > 0) {
          const bottle = shelf.find(({ held }) => held > 0);
          if (!bottle) break;
          const at = dayOf(day);
          if (bottle.held === size) await unit.insert(ContainerActRow, { containerId: bottle.id, at, state: 'opened' });
          const taken = Math.min(bottle.held, open);
          await book('used', bottle.id, -taken, at);
          bottle.held -= taken;
          open -= taken;
          if (bottle.held === 0) await unit.insert(ContainerActRow, { containerId: bottle.id, at, state: 'emptied' });
        }
      }
    }
    unit.about('ledger', laboratoryId, { reagents: PAST.map(({ reagent }) => reagent) });
  });
}
