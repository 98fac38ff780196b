import type { Api } from '../client.js';
import type { ContainerDto, LotDto, NewLotDto } from '../contract/stock.dto.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { LABORATORY } from './laboratory.js';

const DAY_MS = 86_400_000;

/** Lots beside those in use: what ends soon, what is past its end, what costs most. Days count from today. */
const OTHERS: {
  reagent: string;
  number: string;
  source: string;
  days: number;
  size: number;
  priceCents: number;
  count: number;
}[] = [
  {
    reagent: 'eosin-y-alcoholic',
    number: 'TA-26-61',
    source: 'Tarn & Wick supply',
    days: -1,
    size: 250,
    priceCents: 1_850,
    count: 2,
  },
  {
    reagent: 'eosin-y-alcoholic',
    number: 'TA-26-62',
    source: 'Tarn & Wick supply',
    days: 40,
    size: 250,
    priceCents: 1_850,
    count: 3,
  },
  {
    reagent: 'primary-antibody',
    number: 'TA-26-63',
    source: 'Tarn & Wick supply',
    days: 25,
    size: 7,
    priceCents: 32_000,
    count: 2,
  },
];

/** A few weeks of an invented shelf: more lots, what was used and thrown away beside the runs, and a stock-take. */
export async function furnishLedger(
  manager: Api,
  bottles: Record<string, ContainerDto[]>,
  now: Instant,
): Promise<void> {
  const lots: LotDto[] = [];
  for (const { count, days, size, ...lot } of OTHERS) {
    const wanted: NewLotDto = {
      ...lot,
      expiry: localDay(plusMs(now, days * DAY_MS), LABORATORY.zone),
      containers: Array.from({ length: count }, () => ({ size: `${size} mL` })),
    };
    const received = await manager.post<LotDto>('/lots', wanted);
    const reason = 'Invented: papers checked, test slide stained as expected.';
    await manager.post(`/lots/${received.id}/decisions`, { standing: 'accepted', reason });
    lots.push(received);
  }
  const [, soon] = lots;
  const move = (container: ContainerDto | undefined, kind: string, value: number, reason?: string) =>
    container && manager.post(`/containers/${container.id}/movements`, { kind, amount: { value, unit: 'mL' }, reason });
  await move(bottles['eosin-y-alcoholic']?.[0], 'used', 220, 'staining dish filled');
  await move(soon?.containers[0], 'discarded', 90, 'cloudy after a week in use');
  // Nobody recorded its opening.
  await move(bottles['xylene']?.[1], 'used', 180, 'staining dish filled');
  await move(bottles['ethanol-95']?.[0], 'used', 300, 'two staining dishes filled');
  const count = (container: ContainerDto | undefined, value: number, reason?: string) =>
    container && manager.post(`/containers/${container.id}/count`, { amount: { value, unit: 'mL' }, reason });
  await count(bottles['saline']?.[0], 430, 'rinses on the weekend not written down');
  await count(bottles['harris-haematoxylin']?.[0], 500);
  // What a vial gives is a drop more than its print: the next run takes more than is there on paper.
  await count(bottles['primary-antibody']?.[0], 0.1, 'nearly empty');
}
