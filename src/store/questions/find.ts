import type { FoundThingDto, FoundKind } from '../../contract/find.dto.js';
import { makeLabel } from '../../core/gs1/label.js';
import type { Gs1Contents } from '../../core/gs1/reading.js';
import { readScan } from '../../core/gs1/scan.js';
import type { View } from '../view.js';
import { holds, list, plain, rowsOf, type Sql, sql } from './sql.js';

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

const LOT = sql`lot.id AS "id", lot.number AS "title", lot.reagent_code AS "about" FROM lot`;
const lotAt = ({ id }: Row): string => `/stock/${id}`;

const CONTAINER = sql`container.id AS "id", container.label AS "title",
  lot.reagent_code || ', lot ' || lot.number AS "about", container.lot_id AS "at"
  FROM container JOIN lot ON lot.id = container.lot_id`;
const lotOf = ({ at }: Row): string => `/stock/${at}`;

/** What is looked through of the tables that grow, as their indexes have it. */
export const TEXTS = { subject: "label || ' ' || description", lot: 'number', container: 'label' } as const;

/**
 * The newest few ids of a table in whose texts one stands. The inner question asks nothing that is not in the table's index
 * of texts, so that even what is not there is looked for without reading the rows.
 */
const withText = (table: keyof typeof TEXTS, laboratory: string, text: string): Sql =>
  sql`(SELECT id FROM ${plain(table)} WHERE laboratory_id = ${laboratory} AND ${holds(plain(TEXTS[table]), text)}
    ORDER BY id DESC LIMIT ${MOST})`;

const SORTS: readonly Sort[] = [
  {
    kind: 'specimen',
    rows: (laboratory, text) =>
      sql`SELECT ${SUBJECT} WHERE subject.id IN ${withText('subject', laboratory, text)}
        ORDER BY subject.id DESC`,
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
      sql`SELECT ${LOT} WHERE lot.id IN ${withText('lot', laboratory, text)} ORDER BY lot.id DESC`,
    path: lotAt,
  },
  {
    kind: 'container',
    rows: (laboratory, text) =>
      sql`SELECT ${CONTAINER} WHERE container.id IN ${withText('container', laboratory, text)}
        ORDER BY container.id DESC`,
    path: lotOf,
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

/** By the whole of one of our own labels, as a scanner sends it. */
const OF_LABEL: readonly Sort[] = [
  {
    kind: 'specimen',
    rows: (laboratory, label) =>
      sql`SELECT ${SUBJECT} WHERE subject.laboratory_id = ${laboratory} AND subject.label = ${label}`,
    path: runOf,
  },
  {
    kind: 'container',
    rows: (laboratory, label) =>
      sql`SELECT ${CONTAINER} WHERE container.laboratory_id = ${laboratory} AND container.label = ${label}`,
    path: lotOf,
  },
];

/** By what a maker's code says: the lots with its number, or of its product while it names none. */
function ofCode({ gtin, lot }: Gs1Contents): readonly Sort[] {
  if (gtin === undefined && lot === undefined) return [];
  const named =
    lot === undefined
      ? sql`lot.gtin = ${gtin ?? ''}`
      : gtin === undefined
        ? sql`lot.number = ${lot}`
        : sql`lot.number = ${lot} AND (lot.gtin = ${gtin} OR lot.gtin IS NULL)`;
  return [
    {
      kind: 'lot',
      rows: (laboratory) =>
        sql`SELECT ${LOT} WHERE lot.laboratory_id = ${laboratory} AND ${named} ORDER BY lot.id DESC LIMIT ${MOST}`,
      path: lotAt,
    },
  ];
}

const RUN = sql`run.id AS "id", revision.title AS "title", run.station || ', ' || run.started_at AS "about"
  FROM run JOIN revision ON revision.id = run.revision_id`;
const runAt = ({ id }: Row): string => `/release/${id}`;

/** The latest runs in which any of these specimens and slides was stained. */
const ofSubjects = (ids: readonly string[]): Sort => ({
  kind: 'run',
  rows: (laboratory) =>
    sql`SELECT ${RUN} WHERE run.laboratory_id = ${laboratory}
      AND run.id IN (SELECT run_id FROM run_subject WHERE run_subject.subject_id IN ${list(ids)})
      ORDER BY run.id DESC LIMIT ${MOST}`,
  path: runAt,
});

/** By the whole id of a run, as it stands in reports, files and the record. */
const OF_RUN_ID: Sort = {
  kind: 'run',
  rows: (laboratory, text) =>
    sql`SELECT ${RUN} WHERE run.laboratory_id = ${laboratory} AND run.id = ${text.toLowerCase()}`,
  path: runAt,
};

const SUBJECT_KINDS: readonly FoundKind[] = ['specimen', 'slide', 'control'];

/** Who looks, on which local day; the day says which century a code's expiry is of. */
export interface Looking {
  today: string;
  mayKnowPatients: boolean;
}

/**
 * What holds a text in its name, number or label, at most a few of each kind, the newest first; the runs of the specimens
 * among it; what a scanned label or a maker's code names; and the specimens of a patient whose whole number it is, where the
 * asker may know patients. One of our own labels names one thing, so that nothing else is looked for.
 */
export async function found(view: View, text: string, { today, mayKnowPatients }: Looking): Promise<FoundThingDto[]> {
  const wanted = text.trim();
  if (wanted === '') return [];
  const items: FoundThingDto[] = [];
  const look = async (sorts: readonly Sort[], by: string): Promise<void> => {
    for (const { kind, rows, path } of sorts) {
      for (const row of await rowsOf<Row>(view, rows(view.laboratoryId, by))) {
        const item = { kind: row.kind ?? kind, id: row.id, title: row.title, about: row.about, path: path(row) };
        if (!items.some(({ id }) => id === item.id)) items.push(item);
      }
    }
  };
  const scan = readScan(wanted, today);
  if (scan.type === 'label' && scan.label.valid) await look(OF_LABEL, makeLabel(scan.label.kind, scan.label.id));
  if (items.length === 0) {
    if (scan.type === 'gs1' && scan.reading.valid) await look(ofCode(scan.reading), wanted);
    await look([...(mayKnowPatients ? [OF_PATIENT] : []), OF_RUN_ID, ...SORTS], wanted);
  }
  const subjects = items.filter(({ kind }) => SUBJECT_KINDS.includes(kind)).map(({ id }) => id);
  if (subjects.length > 0) await look([ofSubjects(subjects)], wanted);
  return items;
}
