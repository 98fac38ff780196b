import { PersonRow } from '../../rows/people.entity.js';
import { holds, rowsOf, sql } from '../sql.js';
import { FOUND, type Found, type Topic } from './topic.js';

/** A person: the runs that they began or worked on, every act of theirs, and what was decided about them. */
export const person: Topic = {
  find: (view, _asking, text) =>
    rowsOf<Found>(
      view,
      sql`SELECT id AS "id", name AS "label", login AS "detail" FROM person
        WHERE laboratory_id = ${view.laboratoryId} AND (${holds(sql`name`, text)} OR ${holds(sql`login`, text)})
        ORDER BY name, id LIMIT ${FOUND}`,
    ),
  need: async (view, id) => {
    const { name, login } = await view.need(PersonRow, { id }, `person ${id}`);
    return { id, label: name, detail: login };
  },
  runs: (_view, id) =>
    Promise.resolve(
      sql`(run.person_id = ${id} OR EXISTS (SELECT 1 FROM run_event own WHERE own.run_id = run.id AND own.person_id = ${id}))`,
    ),
  acts: (_view, id) => Promise.resolve(sql`(entry.person_id = ${id} OR entry.subject_id = ${id})`),
  ofRuns: (id) => sql`entry.person_id = ${id}`,
};
