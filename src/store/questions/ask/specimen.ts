import { SubjectRow } from '../../rows/specimens.entity.js';
import { holds, rowsOf, sql } from '../sql.js';
import { ALL, FOUND, type Found, runsOf, type Topic } from './topic.js';

/** A specimen with the slides of it: their registration and every run with one of them. */
export const specimen: Topic = {
  // Only our own labels and what the piece is are searched: no patient is found here.
  find: (view, asking, text) =>
    rowsOf<Found>(
      view,
      sql`WITH worked AS (${runsOf(view, asking, ALL)})
        SELECT DISTINCT subject.id AS "id", subject.label AS "label", subject.description AS "detail" FROM worked
        JOIN run_subject ON run_subject.run_id = worked.id JOIN subject ON subject.id = run_subject.subject_id
        WHERE ${holds(sql`subject.label`, text)} OR ${holds(sql`subject.description`, text)}
        ORDER BY subject.id DESC LIMIT ${FOUND}`,
    ),
  need: async (view, id) => {
    const { label, description } = await view.need(SubjectRow, { id }, `specimen or slide ${id}`);
    return { id, label, detail: description };
  },
  runs: (_view, id) =>
    Promise.resolve(
      sql`EXISTS (SELECT 1 FROM run_subject JOIN subject ON subject.id = run_subject.subject_id
        WHERE run_subject.run_id = run.id AND (subject.id = ${id} OR subject.parent_id = ${id}))`,
    ),
  acts: (_view, id) =>
    Promise.resolve(
      sql`(entry.subject_id = ${id} OR entry.subject_id IN (SELECT id FROM subject WHERE parent_id = ${id}))`,
    ),
};
