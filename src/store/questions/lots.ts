import { In, LessThan } from 'typeorm';
import { USUAL_UNIT } from '../../core/ledger/amount.js';
import type { ContainerFacts } from '../../core/lot/facts.js';
import type { LotStanding } from '../../core/lot/lot.js';
import type { WaterCheck } from '../../core/storage/put-away.js';
import { ContainerActRow, ContainerRow, HoldEndRow, HoldRow, LotActRow, LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { containerFacts } from './containers.js';
import { whereabouts } from './places.js';
import { reagentsOf } from './reagents.js';
import { waterCheckOf } from './water-checks.js';

export interface KnownContainer {
  row: ContainerRow;
  acts: ContainerActRow[];
  facts: ContainerFacts;
  holds: { row: HoldRow; end: HoldEndRow | null }[];
  /** Code of the place that it lies in. */
  place: string | null;
  /** What it holds, in millionths of the declared unit; null while nobody has said. */
  onHand: number | null;
  /** Null for anything but picric acid. */
  water: WaterCheck | null;
}

/** Another delivery of the same lot. */
export type Shipment = Pick<LotRow, 'id' | 'receivedAt' | 'source'> & { standing: LotStanding };

/** A lot with the decisions on it and its containers. */
export interface KnownLot {
  row: LotRow;
  decisions: LotActRow[];
  containers: KnownContainer[];
  /** UCUM unit in which its reagent is counted. */
  unit: string;
  shipments: Shipment[];
}

/** What lots to answer; an absent field does not choose. */
export interface LotChoice {
  id?: string;
  reagentCode?: string;
  number?: string;
  gtin?: string;
}

/** Lots, newest first, at most `take`, those before the id `after` in that order left out. */
export async function knownLots(
  view: View,
  choice: LotChoice,
  { take, after }: { take: number; after?: string | undefined },
): Promise<KnownLot[]> {
  const rows = await view.all(
    LotRow,
    { ...(after === undefined ? {} : { id: LessThan(after) }), ...choice },
    { order: { id: 'DESC' }, take },
  );
  const inOrder = { order: { seq: 'ASC' as const, id: 'ASC' as const } };
  const lotId = In(rows.map(({ id }) => id));
  const decisions = await view.all(LotActRow, { lotId }, inOrder);
  const containers = await view.all(ContainerRow, { lotId }, inOrder);
  const ids = containers.map(({ id }) => id);
  const acts = await view.all(ContainerActRow, { containerId: In(ids) }, inOrder);
  const facts = new Map((await containerFacts(view, ids)).map((each) => [each.id, each]));
  const holds = await holdsOn(view, ids);
  const places = await whereabouts(view, ids);
  const held = await heldIn(view, ids);
  const reagents = new Map(
    (await reagentsOf(view, [...new Set(rows.map(({ reagentCode }) => reagentCode))])).map((each) => [each.code, each]),
  );
  const shipments = await shipmentsOf(view, rows);
  const found: KnownLot[] = [];
  for (const row of rows) {
    const reagent = reagents.get(row.reagentCode);
    const own: KnownContainer[] = [];
    for (const container of containers) {
      const known = facts.get(container.id);
      if (container.lotId !== row.id || !known) continue;
      own.push({
        row: container,
        acts: acts.filter(({ containerId }) => containerId === container.id),
        facts: known,
        holds: holds.filter((each) => each.row.containerId === container.id),
        place: places.get(container.id) ?? null,
        onHand: held.get(container.id) ?? null,
        water: (reagent && (await waterCheckOf(view, container, row, reagent))) ?? null,
      });
    }
    found.push({
      row,
      decisions: decisions.filter((each) => each.lotId === row.id),
      containers: own,
      unit: reagent?.unit ?? USUAL_UNIT,
      shipments: shipments.get(row.id) ?? [],
    });
  }
  return found;
}

async function holdsOn(view: View, containerIds: string[]): Promise<KnownContainer['holds']> {
  const rows = await view.all(HoldRow, { containerId: In(containerIds) }, { order: { at: 'ASC', id: 'ASC' } });
  const ends = await view.all(HoldEndRow, { holdId: In(rows.map(({ id }) => id)) });
  return rows.map((row) => ({ row, end: ends.find(({ holdId }) => holdId === row.id) ?? null }));
}

/** What the ledger says that containers hold, for those of which a receipt or a count has said something. */
async function heldIn(view: View, containerIds: string[]): Promise<Map<string, number>> {
  if (containerIds.length === 0) return new Map();
  const ids = containerIds.map((_, n) => `$${n + 2}`).join(', ');
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT container_id AS id, SUM(micro) AS micro FROM movement
      WHERE laboratory_id = $1 AND kind <> 'moved' AND container_id IN (${ids}) GROUP BY container_id`,
    [view.laboratoryId, ...containerIds],
  )) as { id: string; micro: number | string }[];
  return new Map(rows.map(({ id, micro }) => [id, Number(micro)]));
}

/** The other deliveries of each lot, earliest first. */
async function shipmentsOf(view: View, rows: readonly LotRow[]): Promise<Map<string, Shipment[]>> {
  const alike = await view.all(LotRow, {
    number: In([...new Set(rows.map(({ number }) => number))]),
    origin: 'supplied',
  });
  const decisions = await view.all(
    LotActRow,
    { lotId: In(alike.map(({ id }) => id)) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  return new Map(
    rows.map(({ id: own, reagentCode, number, gtin, origin }): [string, Shipment[]] => [
      own,
      alike
        .filter(
          (other) =>
            origin === 'supplied' &&
            other.id !== own &&
            other.reagentCode === reagentCode &&
            other.number === number &&
            (other.gtin === null || gtin === null || other.gtin === gtin),
        )
        .map(({ id, receivedAt, source }) => ({
          ...{ id, receivedAt, source },
          standing: decisions.filter(({ lotId }) => lotId === id).at(-1)?.standing ?? 'quarantined',
        })),
    ]),
  );
}

/** Containers that carry the maker's serial number among the lots of one reagent. */
export async function containersBySerial(view: View, reagentCode: string, serial: string): Promise<ContainerRow[]> {
  const found = await view.all(ContainerRow, { serial });
  const lots = await view.all(LotRow, { id: In(found.map(({ lotId }) => lotId)), reagentCode });
  return found.filter(({ lotId }) => lots.some(({ id }) => id === lotId));
}
