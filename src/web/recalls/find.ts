import { api, got } from '../api.js';
import type { Lot, Scanned } from '../api.paths.js';

/** What a scanned or typed text names. */
export function findScanned(text: string): Promise<Scanned> {
  return got(api.POST('/api/scan', { body: { text } }));
}

/** The lots that a scanned or typed text names: by a container, a product's code, or the lot number itself. */
export async function findLots(text: string): Promise<Lot[]> {
  const found = await findScanned(text);
  if (found.lot) return [found.lot];
  if (found.candidates && found.candidates.length > 0) return found.candidates;
  const { items } = await got(api.GET('/api/lots', { params: { query: { number: text, take: 20 } } }));
  return items;
}
