import { In, LessThanOrEqual } from 'typeorm';
import type { ContainerFacts } from '../../core/lot/facts.js';
import { ContainerActRow, ContainerRow, LotActRow, LotRow, ReagentRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';

/** More than any record holds: all that is known. */
export const ALL_KNOWN = 2_147_483_647;

/** Whether there is a container of that id. */
export async function knownContainer(view: View, id: string): Promise<boolean> {
  return (await view.recall(`container ${id}`, () => view.one(ContainerRow, { id }))) !== null;
}

/**
 * What is known about containers from facts up to a record number, in the order asked; ids that were unknown by then are
 * left out. Four queries, however many containers.
 */
export async function containerFacts(
  view: View,
  containerIds: readonly string[],
  upToSeq: number = ALL_KNOWN,
): Promise<ContainerFacts[]> {
  const ids = [...new Set(containerIds)];
  if (ids.length === 0) return [];
  const containers = await containersWithLots(view, ids, upToSeq);
  const known = LessThanOrEqual(upToSeq);
  const lotIds = [...new Set(containers.map(({ lotId }) => lotId))];
  const decisions = await view.all(
    LotActRow,
    { lotId: In(lotIds), seq: known },
    { order: { at: 'ASC', seq: 'ASC', id: 'ASC' } },
  );
  const changes = await view.all(
    ContainerActRow,
    { containerId: In(ids), seq: known },
    { order: { at: 'ASC', seq: 'ASC', id: 'ASC' } },
  );
  const standIns = await acceptedAs(view, upToSeq);
  const byId = new Map(
    containers.map(({ lot, ...container }): [string, ContainerFacts] => {
      const own = changes.filter(({ containerId }) => containerId === container.id);
      const instead = standIns.get(lot.reagentCode);
      return [
        container.id,
        {
          id: container.id,
          label: container.label,
          reagent: lot.reagentCode,
          ...(instead && { acceptedAs: instead }),
          lot: {
            id: lot.id,
            number: lot.number,
            standing: decisions
              .filter(({ lotId }) => lotId === lot.id)
              .map(({ at, standing, seq }) => ({ at, standing, seq })),
          },
          states: own.map(({ at, state }) => ({ at, state })),
          limits: [
            ...lot.limits,
            ...own.flatMap(({ until }) => (until === null ? [] : [{ by: 'opened' as const, until }])),
          ],
        },
      ];
    }),
  );
  return ids.flatMap((id) => byId.get(id) ?? []);
}

type WithLot = ContainerRow & { lot: LotRow };

async function containersWithLots(view: View, ids: string[], upToSeq: number): Promise<WithLot[]> {
  return (await view.ready())
    .createQueryBuilder(ContainerRow, 'container')
    .innerJoinAndMapOne('container.lot', LotRow, 'lot', 'lot.id = container.lotId')
    .where('container.laboratoryId = :laboratoryId AND container.id IN (:...ids) AND container.seq <= :upToSeq', {
      laboratoryId: view.laboratoryId,
      ids,
      upToSeq,
    })
    .getMany() as Promise<WithLot[]>;
}

/** For each reagent that may stand in for others, their codes, by the catalogue as it stood then. */
async function acceptedAs(view: View, upToSeq: number): Promise<Map<string, string[]>> {
  const rows = await (
    await view.ready()
  )
    .createQueryBuilder(ReagentRow, 'reagent')
    .where('reagent.laboratoryId = :laboratoryId AND reagent.seq <= :upToSeq')
    // Most entries accept nothing else: they stay in the database.
    .andWhere(`reagent.content LIKE '%"acceptedInstead"%'`)
    .andWhere((query) => {
      const later = query
        .subQuery()
        .select('1')
        .from(ReagentRow, 'later')
        .where('later.laboratoryId = reagent.laboratoryId AND later.code = reagent.code')
        .andWhere('later.seq > reagent.seq AND later.seq <= :upToSeq');
      return `NOT EXISTS ${later.getQuery()}`;
    })
    .setParameters({ laboratoryId: view.laboratoryId, upToSeq })
    .orderBy('reagent.code')
    .getMany();
  const found = new Map<string, string[]>();
  for (const { code, content } of rows) {
    for (const other of content.acceptedInstead ?? []) found.set(other, [...(found.get(other) ?? []), code]);
  }
  return found;
}
