import { LotRow } from '../../rows/stock.entity.js';
import { holds, list, rowsOf, sql } from '../sql.js';
import { reachOf } from '../trace/reach.js';
import { FOUND, type Found, type Topic } from './topic.js';

/** A lot with what was made of it: the runs on whose trays it stood, and all that was decided on it and its containers. */
export const lot: Topic = {
  find: (view, asking, text) =>
    rowsOf<Found>(
      view,
      sql`SELECT lot.id AS "id", lot.number AS "label", lot.reagent_code AS "detail" FROM lot
        WHERE lot.laboratory_id = ${view.laboratoryId}
          AND (${holds(sql`lot.number`, text)} OR ${holds(sql`lot.reagent_code`, text)})
          AND ((lot.received_at >= ${asking.from} AND lot.received_at < ${asking.to})
            OR EXISTS (SELECT 1 FROM container JOIN tray_use ON tray_use.container_id = container.id
              WHERE container.lot_id = lot.id AND tray_use.at >= ${asking.from} AND tray_use.at < ${asking.to}))
        ORDER BY lot.received_at DESC, lot.id LIMIT ${FOUND}`,
    ),
  need: async (view, id) => {
    const { number, reagentCode } = await view.need(LotRow, { id }, `lot ${id}`);
    return { id, label: number, detail: reagentCode };
  },
  runs: async (view, id) => {
    const { lots } = await reachOf(view, [id]);
    return sql`EXISTS (SELECT 1 FROM tray_use JOIN container ON container.id = tray_use.container_id
      WHERE tray_use.run_id = run.id AND container.lot_id IN ${list(lots)})`;
  },
  acts: async (view, id) => {
    const { lots } = await reachOf(view, [id]);
    return sql`entry.subject_id IN (SELECT id FROM lot WHERE id IN ${list(lots)}
      UNION ALL SELECT id FROM container WHERE lot_id IN ${list(lots)})`;
  },
};
