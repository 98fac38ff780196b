import { Refusal } from '../../../core/refusal.js';
import { holds, rowsOf, sql } from '../sql.js';
import { inProtocols } from '../review/within.js';
import { FOUND, type Found, type Topic } from './topic.js';

/** A stain: its runs in all revisions, what was decided on them, and its control plans. */
export const protocol: Topic = {
  find: (view, { protocols }, text) =>
    rowsOf<Found>(
      view,
      sql`SELECT protocol_id AS "id", MAX(title) AS "label", protocol_id AS "detail" FROM revision
        WHERE laboratory_id = ${view.laboratoryId} AND (${holds(sql`title`, text)} OR ${holds(sql`protocol_id`, text)})
          AND ${inProtocols({ protocols }, sql`protocol_id`)}
        GROUP BY protocol_id ORDER BY MAX(title) LIMIT ${FOUND}`,
    ),
  need: async (view, id) => {
    const [found] = await rowsOf<Found>(
      view,
      sql`SELECT protocol_id AS "id", title AS "label", protocol_id AS "detail" FROM revision
        WHERE laboratory_id = ${view.laboratoryId} AND protocol_id = ${id} ORDER BY number DESC LIMIT 1`,
    );
    if (!found) throw new Refusal('not-found', 'not-found', `There is no protocol ${id}.`);
    return found;
  },
  runs: (_view, id) => Promise.resolve(sql`revision.protocol_id = ${id}`),
  acts: (_view, id) =>
    Promise.resolve(
      sql`entry.subject_id IN (SELECT id FROM revision WHERE protocol_id = ${id}
        UNION ALL SELECT id FROM control_plan WHERE protocol_id = ${id})`,
    ),
};
