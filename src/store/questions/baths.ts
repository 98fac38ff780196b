import { In } from 'typeorm';
import type { ContainerFacts } from '../../core/lot/facts.js';
import { BathActRow, BathRow } from '../rows/preparations.entity.js';
import { ContainerRow, LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { containerFacts } from './containers.js';

/** Where a bath stands. */
export interface BathPlace {
  station: string;
  series: string;
  position: number;
}

/** A bath with what was done to it. */
export interface KnownBath {
  row: BathRow;
  acts: BathActRow[];
  container: ContainerRow;
  lot: LotRow;
  facts: ContainerFacts;
  place: BathPlace;
  /** Neither emptied nor discarded. */
  inUse: boolean;
}

/** Baths by container, or all that are in use, in the order of their places. */
export async function knownBaths(view: View, containerIds?: readonly string[]): Promise<KnownBath[]> {
  const chosen = containerIds ?? (await bathsInUse(view));
  if (chosen.length === 0) return [];
  const containerId = In([...chosen]);
  const rows = await view.all(BathRow, { containerId });
  const acts = await view.all(BathActRow, { containerId }, { order: { at: 'ASC', seq: 'ASC', id: 'ASC' } });
  const containers = new Map((await view.all(ContainerRow, { id: containerId })).map((each) => [each.id, each]));
  const lots = new Map(
    (await view.all(LotRow, { id: In([...containers.values()].map(({ lotId }) => lotId)) })).map((lot) => [
      lot.id,
      lot,
    ]),
  );
  const facts = new Map((await containerFacts(view, [...chosen])).map((each) => [each.id, each]));
  return rows
    .flatMap((row): KnownBath[] => {
      const container = containers.get(row.containerId);
      const lot = container && lots.get(container.lotId);
      const known = facts.get(row.containerId);
      if (!container || !lot || !known) return [];
      const own = acts.filter((act) => act.containerId === row.containerId);
      const gone = known.states.some(({ state }) => state === 'emptied' || state === 'discarded');
      return [{ row, acts: own, container, lot, facts: known, place: placeOf(row, own), inUse: !gone }];
    })
    .sort(
      (a, b) =>
        byText(a.place.station, b.place.station) ||
        byText(a.place.series, b.place.series) ||
        a.place.position - b.place.position,
    );
}

/** Containers of the baths that are neither emptied nor discarded. */
export async function bathsInUse(view: View): Promise<string[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT container_id AS "id" FROM bath WHERE laboratory_id = $1 AND NOT EXISTS (SELECT 1 FROM container_act gone
      WHERE gone.container_id = bath.container_id AND gone.state IN ('emptied', 'discarded')) ORDER BY id`,
    [view.laboratoryId],
  )) as { id: string }[];
  return rows.map(({ id }) => id);
}

function placeOf({ station, series, position }: BathRow, acts: readonly BathActRow[]): BathPlace {
  const moved = acts.filter(({ kind }) => kind === 'moved').at(-1);
  return {
    station: moved?.station ?? station,
    series: moved?.series ?? series,
    position: moved?.position ?? position,
  };
}

function byText(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
