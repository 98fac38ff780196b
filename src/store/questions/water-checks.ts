import type { Reagent } from '../../core/protocol/protocol.js';
import { WATER_CHECK_EVERY, type WaterCheck } from '../../core/storage/put-away.js';
import { endOfLife } from '../../core/time/zone.js';
import { WaterCheckRow } from '../rows/places.entity.js';
import type { ContainerRow, LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { needLaboratory } from './laboratories.js';

/** The last look at the water over picric acid, its receipt being the first; undefined for anything else. */
export async function waterCheckOf(
  view: View,
  { id }: Pick<ContainerRow, 'id'>,
  { receivedAt }: Pick<LotRow, 'receivedAt'>,
  { special, waterCheckEvery = WATER_CHECK_EVERY }: Pick<Reagent, 'special' | 'waterCheckEvery'>,
): Promise<WaterCheck | undefined> {
  if (special !== 'picric acid') return undefined;
  const checks = await view.all(WaterCheckRow, { containerId: id }, { order: { at: 'ASC', seq: 'ASC', id: 'ASC' } });
  const { wet, at } = checks.at(-1) ?? { wet: true, at: receivedAt };
  const { zone } = await needLaboratory(view);
  return { wet, at, due: endOfLife(at, waterCheckEvery, zone) };
}
