import { quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import type { Quantity } from '../../core/recipe/quantity.js';
import type { Instant } from '../../core/time/instant.js';
import type { View } from '../view.js';
import { reagentsOf } from './reagents.js';

/** A container's part in what was made here. */
export interface Component {
  containerId: string;
  label: string;
  reagent: string;
  lotId: string;
  lotNumber: string;
  at: Instant;
  /** In millionths of the declared unit of its reagent; null when nobody said. */
  micro: number | null;
}

/** What went into a lot, in the order in which it did; nothing for a supplied one. */
export async function componentsOf(view: View, lotId: string): Promise<Component[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT component.container_id AS "containerId", container.label, lot.reagent_code AS reagent, lot.id AS "lotId",
        lot.number AS "lotNumber", component.at, component.micro
      FROM component JOIN container ON container.id = component.container_id JOIN lot ON lot.id = container.lot_id
      WHERE component.laboratory_id = $1 AND component.lot_id = $2 ORDER BY component.seq, component.id`,
    [view.laboratoryId, lotId],
  )) as Component[];
  return rows.map((row) => ({ ...row, micro: row.micro === null ? null : Number(row.micro) }));
}

/** What went into a lot, with the amounts in the units that the ledger counts them in. */
export async function componentViews(
  view: View,
  lotId: string,
): Promise<(Omit<Component, 'micro'> & { quantity: Quantity | null })[]> {
  const components = await componentsOf(view, lotId);
  const reagents = await reagentsOf(
    view,
    components.map(({ reagent }) => reagent),
  );
  return components.map(({ micro, ...component }) => {
    const unit = reagents.find(({ code }) => code === component.reagent)?.unit ?? USUAL_UNIT;
    return { ...component, quantity: micro === null ? null : quantityOf(micro, unit) };
  });
}
