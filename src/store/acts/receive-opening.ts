import { openedUntil } from '../../core/lot/receive.js';
import type { OpeningRow } from '../../core/ledger/opening.js';
import { needLaboratory } from '../questions/laboratories.js';
import { ContainerActRow, ContainerRow, LotActRow, type LotRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { receiveLot } from './receive-lot.js';

/** Takes in one shipment that was here before the program: rows of one print, each with one or more like containers. */
export async function receiveOpening(unit: Unit, rows: readonly OpeningRow[]): Promise<LotRow> {
  const [first] = rows;
  if (!first) throw new RangeError('a shipment of no rows');
  const { reagent, number, expiry, source, priceCents, place, accepted } = first;
  const all = rows.flatMap((row) => Array.from({ length: row.containers }, () => row));
  const lot = await receiveLot(unit, {
    reagent,
    number,
    expiry,
    source,
    ...(priceCents !== undefined && { priceCents }),
    ...(place !== undefined && { place }),
    containers: all.map(({ amount, serial }) => ({
      amount,
      size: `${amount.value} ${amount.unit}`,
      ...(serial !== undefined && { serial }),
    })),
  });
  if (accepted !== undefined) {
    const { at, actor } = unit;
    await unit.insert(LotActRow, {
      lotId: lot.id,
      at,
      personId: actor.personId,
      standing: 'accepted',
      reason: accepted,
    });
  }
  if (all.some(({ openedAt }) => openedAt !== undefined)) await openContainers(unit, lot, all);
  return lot;
}

async function openContainers(unit: Unit, lot: LotRow, rows: readonly OpeningRow[]): Promise<void> {
  const { zone } = await needLaboratory(unit);
  // Ids sort by the time at which they were made, so the containers come in the order of the rows.
  const containers = await unit.all(ContainerRow, { lotId: lot.id });
  for (const [n, { id }] of containers.entries()) {
    const at = rows[n]?.openedAt;
    if (at === undefined) continue;
    await unit.insert(ContainerActRow, {
      containerId: id,
      at,
      personId: unit.actor.personId,
      state: 'opened',
      until: lot.openedLife === null ? null : openedUntil(at, lot.openedLife, zone),
      reason: 'open when the stock was taken over',
    });
  }
}
