import { InstrumentRow } from '../../rows/instruments.entity.js';
import { holds, rowsOf, sql } from '../sql.js';
import { FOUND, type Found, type Topic } from './topic.js';

/** An instrument: what was done to it, and the runs at the bench place where it stood when they began. */
export const instrument: Topic = {
  find: (view, _asking, text) =>
    rowsOf<Found>(
      view,
      sql`SELECT id AS "id", code AS "label", name AS "detail" FROM instrument
        WHERE laboratory_id = ${view.laboratoryId} AND (${holds(sql`code`, text)} OR ${holds(sql`name`, text)})
        ORDER BY code LIMIT ${FOUND}`,
    ),
  need: async (view, id) => {
    const { code, name } = await view.need(InstrumentRow, { id }, `instrument ${id}`);
    return { id, label: code, detail: name };
  },
  runs: (_view, id) =>
    Promise.resolve(
      sql`run.station = (SELECT moved.station FROM instrument_act moved WHERE moved.instrument_id = ${id}
        AND moved.kind = 'moved' AND moved.at <= run.started_at ORDER BY moved.at DESC, moved.seq DESC LIMIT 1)`,
    ),
  acts: (_view, id) => Promise.resolve(sql`entry.subject_id = ${id}`),
};
