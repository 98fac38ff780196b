import type { Api } from '../client.js';
import type { LotListDto } from '../contract/stock.dto.js';
import { type Instant, plusMs } from '../core/time/instant.js';
import { localDay } from '../core/time/zone.js';
import { LABORATORY } from './laboratory.js';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

const STORE = 'FRIDGE-1';
const BENCH = 'FRIDGE-2';
const SHELF = 'SHELF-1';
const FLAMMABLES = 'FLAM-1';

/** The invented laboratory's storage, with limits as a hospital would set them. */
const PLACES = [
  { code: STORE, name: 'Refrigerator of the store room', min: 2, max: 8, dark: true },
  { code: BENCH, name: 'Refrigerator beside the scanner', min: 2, max: 8, dark: true },
  { code: SHELF, name: 'Shelf of the stain bench', min: 15, max: 25, dark: false, classes: ['general', 'acid'] },
  { code: FLAMMABLES, name: 'Solvent cabinet', min: 5, max: 30, dark: true, classes: ['flammable'] },
  { code: 'OX-1', name: 'Oxidiser cupboard', min: 15, max: 25, dark: true, classes: ['oxidiser', 'acid'] },
  { code: 'APART', name: 'Locked shelf for what is set apart', dark: true, apart: true },
];

/** Where the bottles that are in use lie; what is not named was not put away yet. */
const PUT_INTO: Record<string, string> = {
  'acridine-orange-working': BENCH,
  'primary-antibody': BENCH,
  'hrp-polymer': BENCH,
  'ethanol-100': FLAMMABLES,
  'ethanol-95': FLAMMABLES,
  xylene: FLAMMABLES,
  saline: SHELF,
};

/** Degrees Celsius of the days before, by hours before now. */
const READINGS = [
  [73, 4.6],
  [49, 4.9],
  [25, 5.3],
  [9, 5.1],
] as const;

/**
 * Storage places whose store room refrigerator is too warm just now, with what lies there on hold; a bottle past its expiry
 * that must leave; a lot for research only.
 */
export async function furnishPlaces(manager: Api, now: Instant): Promise<void> {
  for (const place of PLACES) await manager.post('/places', place);
  const expiry = (days: number): string => localDay(plusMs(now, days * DAY_MS), LABORATORY.zone);
  await manager.post('/lots', {
    ...{ reagent: 'ethanol-70', number: 'TW-25-91', source: 'Tidewater Reagents (invented)', expiry: expiry(-2) },
    containers: [{ size: '1 L' }],
  });
  await manager.post('/lots', {
    ...{ reagent: 'far-red-dna-dye-working', number: 'GH-26-07', source: 'Gullhaven Antibodies (invented)' },
    ...{ expiry: expiry(200), intendedUse: 'research only', place: STORE, priceCents: 18_450 },
    containers: [{ size: '25 mL' }],
  });
  const { items } = await manager.get<LotListDto>('/lots?take=200');
  for (const { reagent, standing, containers } of items) {
    const place = PUT_INTO[reagent];
    if (place === undefined) continue;
    const into = place === BENCH && standing !== 'accepted' ? STORE : place;
    for (const { id } of containers) await manager.post(`/containers/${id}/place`, { place: into });
  }
  for (const [hours, value] of READINGS) {
    const at = plusMs(now, -hours * HOUR_MS);
    await manager.post(`/places/${STORE}/temperatures`, { value, unit: 'Cel', at });
    await manager.post(`/places/${BENCH}/temperatures`, { value: value + 0.3, unit: 'Cel', at });
    await manager.post(`/places/${SHELF}/temperatures`, { value: value + 16, unit: 'Cel', at });
  }
  await manager.post(`/places/${BENCH}/temperatures`, { value: 5.2, unit: 'Cel' });
  await manager.post(`/places/${STORE}/temperatures`, { value: 9.4, unit: 'Cel' });
}
