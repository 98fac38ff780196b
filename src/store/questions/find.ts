import type { FoundThingDto, FoundKind } from '../../contract/find.dto.js';
import type { View } from '../view.js';
import { holds } from './ask/topic.js';
import { rowsOf, type Sql, sql } from './review/sql.js';

/** Of each kind; more would not be read. */
const MOST = 6;

interface Row {
  id: string;
  /** Where a table holds several kinds. */
  kind?: FoundKind;
  title: string;
  about: string;
  /** Id of what its page belongs to, where that is not the thing itself. */
  at?: string | null;
}

/** How one kind of thing is found, and the page where it is dealt with. */
interface Sort {
  kind: FoundKind;
  rows: (laboratory: string, text: string) => Sql;
  path: (row: Row) => string;
}

/** Where a specimen or slide is dealt with: its last run, or else where runs are started. */
const SUBJECT = sql`subject.id AS "id", subject.kind AS "kind", subject.label AS "title", subject.description AS "about",
  (SELECT MAX(run_id) FROM run_subject WHERE run_subject.subject_id = subject.id) AS "at" FROM subject`;
const runOf = ({ at }: Row): string => (at ? `/release/${at}` : '/runs/new');

const SORTS: readonly Sort[] = [
  {
    kind: 'specimen',
    rows: (laboratory, text) =>
      sql`SELECT ${SUBJECT} WHERE subject.laboratory_id = ${laboratory}
        AND (${holds(sql`subject.label`, text)} OR ${holds(sql`subject.description`, text)})
        ORDER BY subject.id DESC LIMIT ${MOST}`,
    path: runOf,
  },
  {
    kind: 'protocol',
    rows: (laboratory, text) =>
      sql`SELECT revision.id AS "id", revision.title AS "title", 'revision ' || revision.number AS "about" FROM revision
        WHERE revision.laboratory_id = ${laboratory}
          AND (${holds(sql`revision.title`, text)} OR ${holds(sql`revision.protocol_id`, text)})
          AND revision.number = (SELECT MAX(other.number) FROM revision other
            WHERE other.laboratory_id = revision.laboratory_id AND other.protocol_id = revision.protocol_id)
        ORDER BY revision.title, revision.id LIMIT ${MOST}`,
    path: ({ id }) => `/protocols/${id}`,
  },
  {
    kind: 'lot',
    rows: (laboratory, text) =>
      sql`SELECT lot.id AS "id", lot.number AS "title", lot.reagent_code AS "about" FROM lot
        WHERE lot.laboratory_id = ${laboratory} AND ${holds(sql`lot.number`, text)}
        ORDER BY lot.id DESC LIMIT ${MOST}`,
    path: ({ id }) => `/stock/${id}`,
  },
  {
    kind: 'container',
    rows: (laboratory, text) =>
      sql`SELECT container.id AS "id", container.label AS "title", lot.reagent_code || ', lot ' || lot.number AS "about",
          container.lot_id AS "at" FROM container JOIN lot ON lot.id = container.lot_id
        WHERE container.laboratory_id = ${laboratory} AND ${holds(sql`container.label`, text)}
        ORDER BY container.id DESC LIMIT ${MOST}`,
    path: ({ at }) => `/stock/${at}`,
  },
  {
    kind: 'order',
    rows: (laboratory, text) =>
      sql`SELECT id AS "id", number AS "title", supplier_code AS "about" FROM purchase_order
        WHERE laboratory_id = ${laboratory} AND ${holds(sql`number`, text)} ORDER BY id DESC LIMIT ${MOST}`,
    path: ({ id }) => `/stock/orders/${id}`,
  },
  {
    kind: 'deviation',
    rows: (laboratory, text) =>
      sql`SELECT id AS "id", title AS "title", 'No. ' || number AS "about" FROM deviation
        WHERE laboratory_id = ${laboratory} AND (${holds(sql`title`, text)} OR CAST(number AS text) = ${text}) ORDER BY id DESC LIMIT ${MOST}`,
    path: ({ id }) => `/deviations/${id}`,
  },
  {
    kind: 'person',
    rows: (laboratory, text) =>
      sql`SELECT id AS "id", name AS "title", login AS "about" FROM person
        WHERE laboratory_id = ${laboratory} AND ${holds(sql`name`, text)} ORDER BY name LIMIT ${MOST}`,
    path: () => '/people',
  },
];

/** By the whole number of a patient; nothing of the patient is told. */
const OF_PATIENT: Sort = {
  kind: 'specimen',
  rows: (laboratory, text) =>
    sql`SELECT ${SUBJECT} JOIN sealed_value ON sealed_value.owner_id = subject.id
      WHERE sealed_value.laboratory_id = ${laboratory} AND sealed_value.value = ${text}
        AND sealed_value.kind = 'patient number' ORDER BY subject.id DESC LIMIT ${MOST}`,
  path: runOf,
};

/**
 * What holds a text in its name, number or label, at most a few of each kind, the newest first; and the specimens of a
 * patient whose whole number it is, where the asker may know patients.
 */
export async function found(view: View, text: string, mayKnowPatients: boolean): Promise<FoundThingDto[]> {
  const wanted = text.trim();
  if (wanted === '') return [];
  const items: FoundThingDto[] = [];
  for (const { kind, rows, path } of mayKnowPatients ? [OF_PATIENT, ...SORTS] : SORTS) {
    for (const row of await rowsOf<Row>(view, rows(view.laboratoryId, wanted))) {
      const item = { kind: row.kind ?? kind, id: row.id, title: row.title, about: row.about, path: path(row) };
      if (!items.some(({ id }) => id === item.id)) items.push(item);
    }
  }
  return items;
}
