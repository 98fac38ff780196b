import { In, LessThan } from 'typeorm';
import type { ContainerFacts } from '../../core/lot/facts.js';
import type { Entry } from '../../core/record/record.js';
import { RecordRow } from '../rows/record.entity.js';
import { ContainerActRow, ContainerRow, LotActRow, LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { containerFacts } from './containers.js';

export interface KnownContainer {
  row: ContainerRow;
  acts: ContainerActRow[];
  facts: ContainerFacts;
}

/** A lot with the decisions on it and its containers. */
export interface KnownLot {
  row: LotRow;
  decisions: LotActRow[];
  containers: KnownContainer[];
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
  return rows.map((row) => ({
    row,
    decisions: decisions.filter((each) => each.lotId === row.id),
    containers: containers.flatMap((container) => {
      const known = facts.get(container.id);
      if (container.lotId !== row.id || !known) return [];
      return [{ row: container, acts: acts.filter(({ containerId }) => containerId === container.id), facts: known }];
    }),
  }));
}

/** Containers that carry the maker's serial number among the lots of one reagent. */
export async function containersBySerial(view: View, reagentCode: string, serial: string): Promise<ContainerRow[]> {
  const found = await view.all(ContainerRow, { serial });
  const lots = await view.all(LotRow, { id: In(found.map(({ lotId }) => lotId)), reagentCode });
  return found.filter(({ lotId }) => lots.some(({ id }) => id === lotId));
}

/** Ids of the containers that a preparation was made of, as its entry in the record says; none for a supplied lot. */
export async function componentsOf(view: View, lotId: string): Promise<string[]> {
  const made = await view.one(RecordRow, { subjectKind: 'lot', subjectId: lotId, act: 'lot.prepared' });
  if (!made) return [];
  const { data } = JSON.parse(made.body) as Entry;
  return data['components'] as string[];
}
