import type { LotDto } from '../../contract/stock.dto.js';
import type { Columns } from '../http/csv-file.js';

export type NamedLot = LotDto & { name: string };

/** What a file tells of each lot. */
export const LOT_COLUMNS: Columns<NamedLot> = {
  id: ({ id }) => id,
  reagent: ({ reagent }) => reagent,
  name: ({ name }) => name,
  'lot number': ({ number }) => number,
  gtin: ({ gtin }) => gtin,
  origin: ({ origin }) => origin,
  source: ({ source }) => source,
  received: ({ receivedAt }) => receivedAt,
  expiry: ({ expiry }) => expiry,
  'usable until': ({ usableUntil }) => usableUntil,
  standing: ({ standing }) => standing,
  storage: ({ storage }) => storage,
  containers: ({ containers }) => containers.length,
  'may be used': ({ containers }) => containers.filter(({ usable }) => usable).length,
  'on hand': ({ containers }) => sumOf(containers.map(({ onHand }) => onHand?.value ?? null)),
  unit: ({ containers }) => containers.find(({ onHand }) => onHand !== null)?.onHand?.unit,
  'price of one': ({ priceCents }) => (priceCents === null ? null : priceCents / 100),
};

/** Null while nobody has said of any; amounts are whole millionths, so that the sum shows no remainder of binary fractions. */
function sumOf(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : known.reduce((sum, value) => sum + Math.round(value * 1e6), 0) / 1e6;
}
