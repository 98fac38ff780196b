import type { MovementKind } from '../../core/ledger/kinds.js';
import type { Unserved } from '../../core/ledger/value.js';
import type { MovementRow } from '../rows/ledger.entity.js';
import type { View } from '../view.js';

/** A movement with what it was of. */
export type KnownMovement = Omit<MovementRow, 'laboratoryId'> & {
  label: string;
  containerLotId: string;
  lotNumber: string;
  person: string | null;
};

/** Which movements to answer; an absent field does not choose. */
export interface MovementChoice {
  id?: string | undefined;
  reagent?: string | undefined;
  containerId?: string | undefined;
  kind?: MovementKind | undefined;
  runId?: string | undefined;
  /** Local days, both included. */
  from?: string | undefined;
  to?: string | undefined;
}

/** How many movements a choice holds. */
export async function countMovements(view: View, choice: MovementChoice): Promise<number> {
  const { where, values } = chosen(view, choice);
  const query = `SELECT COUNT(*) AS "count" FROM movement WHERE ${where}`;
  const [row] = (await (await view.ready()).query(query, values)) as [{ count: number | string }];
  return Number(row.count);
}

/**
 * Movements, the newest first, those before the id `after` in that order left out, and so many as `skip` says. Which they
 * are is settled before anything is looked up beside them, so that what is skipped costs little.
 */
export async function movementsOf(
  view: View,
  choice: MovementChoice,
  { take, after, skip = 0 }: { take: number; after?: string | undefined; skip?: number | undefined },
): Promise<KnownMovement[]> {
  const { where, values } = chosen(view, choice, after);
  return (await (
    await view.ready()
  ).query(
    `SELECT movement.id, movement.seq, movement.kind, movement.container_id AS "containerId",
        movement.reagent_code AS "reagentCode", movement.micro, movement.at, movement.day,
        movement.person_id AS "personId", movement.run_id AS "runId", movement.lot_id AS "lotId", movement.place,
        movement.reason, movement.short_micro AS "shortMicro", container.label, lot.id AS "containerLotId",
        lot.number AS "lotNumber", person.name AS person
      FROM movement JOIN container ON container.id = movement.container_id JOIN lot ON lot.id = container.lot_id
      LEFT JOIN person ON person.id = movement.person_id
      WHERE movement.id IN
        (SELECT movement.id FROM movement WHERE ${where} ORDER BY movement.id DESC LIMIT ${take} OFFSET ${skip})
      ORDER BY movement.id DESC`,
    values,
  )) as KnownMovement[];
}

function chosen(
  view: View,
  { id, reagent, containerId, kind, runId, from, to }: MovementChoice,
  after?: string,
): { where: string; values: unknown[] } {
  const where = ['movement.laboratory_id = $1'];
  const values: unknown[] = [view.laboratoryId];
  const add = (column: string, sign: string, value: string | undefined): void => {
    if (value !== undefined) where.push(`movement.${column} ${sign} $${values.push(value)}`);
  };
  add('id', '=', id);
  add('reagent_code', '=', reagent);
  add('container_id', '=', containerId);
  add('kind', '=', kind);
  add('run_id', '=', runId);
  add('day', '>=', from);
  add('day', '<=', to);
  add('id', '<', after);
  return { where: where.join(' AND '), values };
}

/** What was thrown away in these months ('2026-11', both included), by month and container. */
export async function discardedBetween(view: View, from: string, to: string): Promise<Unserved[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT movement.reagent_code AS reagent, SUBSTR(movement.day, 1, 7) AS month, SUM(0 - movement.micro) AS micro,
        container.micro AS "full", lot.price_cents AS "priceCents"
      FROM movement JOIN container ON container.id = movement.container_id JOIN lot ON lot.id = container.lot_id
      WHERE movement.laboratory_id = $1 AND movement.kind = 'discarded' AND movement.day >= $2 AND movement.day <= $3
      GROUP BY movement.reagent_code, SUBSTR(movement.day, 1, 7), container.id, container.micro, lot.price_cents`,
    [view.laboratoryId, `${from}-01`, `${to}-31`],
  )) as Omit<Unserved, 'how'>[];
  return rows.map((row) => ({ ...row, micro: Number(row.micro), how: 'discarded' }));
}
