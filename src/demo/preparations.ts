import type { Api } from '../client.js';
import type { BathDto, NewPreparationDto, PreparationDto } from '../contract/preparations.dto.js';
import type { ContainerDto, LotDto } from '../contract/stock.dto.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { LABORATORY, STATIONS } from './laboratory.js';

const DAY_MS = 86_400_000;
const HARRIS = 'harris-haematoxylin';
const EOSIN = 'eosin-y-alcoholic';
const XYLENE = 'xylene';
const ACID_ALCOHOL = 'acid-alcohol-1';

/** What the laboratory makes solutions of. */
const POWDERS = {
  'disodium-hydrogen-phosphate-dihydrate': '500 g',
  'potassium-dihydrogen-phosphate': '500 g',
  'eosin-y': '25 g',
  'acetic-acid-glacial': '1 L',
  'ethanol-95': '2.5 L',
} as const;

const g = (value: number) => ({ value, unit: 'g' });
const mL = (value: number) => ({ value, unit: 'mL' });

/**
 * A buffer, a working eosin made of its stock, and a line of baths of which one is nearly due. The baths that last stand
 * first among the bottles, so that the runs on the line go through them.
 */
export async function furnishPreparations(
  manager: Api,
  bottles: Record<string, ContainerDto[]>,
  now: Instant,
): Promise<void> {
  const expiry = localDay(plusMs(now, 700 * DAY_MS), LABORATORY.zone).slice(0, 7);
  const powders = {} as Record<keyof typeof POWDERS, string>;
  for (const [n, [reagent, size]] of Object.entries(POWDERS).entries()) {
    const lot = await manager.post<LotDto>('/lots', {
      reagent,
      number: `TC-26-${n + 1}`,
      source: 'Tarn & Wick supply (invented)',
      expiry,
      containers: [{ size }],
    });
    await accept(manager, lot.id, 'Invented: certificate read, identity and purity as ordered.');
    const id = lot.containers[0]?.id ?? '';
    await manager.post(`/containers/${id}/state`, { state: 'opened' });
    powders[reagent as keyof typeof POWDERS] = id;
  }

  await make(manager, {
    recipe: 'buffered-water',
    volume: { value: 1, unit: 'L' },
    lines: [
      { line: 1, taken: [{ container: powders['disodium-hydrogen-phosphate-dihydrate'], quantity: g(3.81) }] },
      { line: 2, taken: [{ container: powders['potassium-dihydrogen-phosphate'], quantity: g(2.1) }] },
    ],
    readings: [{ id: 'ph', value: 7.12 }],
    containers: [{ amount: mL(500) }, { amount: mL(500) }],
  });
  const stock = await make(manager, {
    recipe: 'eosin-y-1-stock',
    volume: { value: 1, unit: 'L' },
    lines: [{ line: 1, taken: [{ container: powders['eosin-y'], quantity: g(10.02) }] }],
    containers: [{}],
  });
  const eosin = await make(manager, {
    recipe: EOSIN,
    volume: mL(804),
    lines: [
      { line: 1, taken: [{ container: stock, quantity: mL(200) }] },
      { line: 2, taken: [{ container: powders['ethanol-95'], quantity: mL(600) }] },
      { line: 3, taken: [{ container: powders['acetic-acid-glacial'], quantity: mL(4) }] },
    ],
    readings: [{ id: 'test-stain', passed: true, note: 'Invented: red cells, muscle and collagen told apart.' }],
    containers: [{}],
  });

  const baths = [
    { reagent: XYLENE, container: bottles[XYLENE]?.[0]?.id, maxSlides: 30, maxDays: 7 },
    { reagent: HARRIS, container: bottles[HARRIS]?.[0]?.id, maxSlides: 500, maxDays: 7, filterEvery: 'P0D' },
    // It is changed every day.
    { reagent: ACID_ALCOHOL, container: bottles[ACID_ALCOHOL]?.[0]?.id, maxSlides: 200, maxDays: 0 },
    { reagent: EOSIN, container: eosin, maxSlides: 500, maxDays: 7 },
  ];
  for (const [n, { reagent, container, ...rule }] of baths.entries()) {
    if (container === undefined) continue;
    const bath = await manager.post<BathDto>('/baths', {
      reagent,
      fills: [{ container, quantity: mL(250) }],
      station: STATIONS.routine,
      series: 'H&E',
      position: n + 1,
      ...rule,
    });
    if (reagent === ACID_ALCOHOL) continue;
    bottles[reagent] = [await manager.get<ContainerDto>(`/containers/${bath.id}`), ...(bottles[reagent] ?? [])];
  }
}

/** Makes and accepts a preparation; answers the container to take from. */
async function make(manager: Api, body: NewPreparationDto): Promise<string> {
  const { lotId, containers } = await manager.post<PreparationDto>('/preparations', body);
  await accept(manager, lotId, 'Invented: readings passed.');
  return containers[0]?.id ?? '';
}

function accept(manager: Api, lotId: string, reason: string): Promise<unknown> {
  return manager.post(`/lots/${lotId}/decisions`, { standing: 'accepted', reason });
}
