import { actWords } from '../../../core/ask/act-words.js';
import type { BenchStamp } from '../../../core/run/events.js';
import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { namesOf } from '../people.js';
import { list, rowsOf, type Sql, sql } from '../sql.js';
import { type Asking, runsOf } from './topic.js';

/** One act, as an answer tells it. */
export interface Line {
  /** Record number. */
  seq: number;
  /** When it was recorded. */
  at: Instant;
  /** When it happened, for a bench event. */
  performedAt: Instant | null;
  late: boolean;
  what: string;
  /** Name of who did it; null for the program. */
  who: string | null;
  about: { kind: string; id: string; label: string };
}

interface Stored {
  seq: number;
  at: Instant;
  act: string;
  body: string;
  kind: string;
  id: string;
  personId: string | null;
}

/** Which acts an answer is made of. */
export interface Which {
  runs: Sql;
  acts: Sql;
  ofRuns: Sql;
}

/** What was done, in the order of the record, after a record number. */
export async function linesOf(
  view: View,
  asking: Asking,
  which: Which,
  { after, take }: { after: number; take: number },
): Promise<Line[]> {
  const rows = await rowsOf<Stored>(
    view,
    sql`WITH ${chosen(view, asking, which, after)}
      SELECT entry.seq AS "seq", entry.at AS "at", entry.act AS "act", entry.body AS "body",
        entry.subject_kind AS "kind", entry.subject_id AS "id", entry.person_id AS "personId"
      FROM chosen JOIN record_entry entry ON entry.laboratory_id = ${view.laboratoryId} AND entry.seq = chosen.seq
      ORDER BY entry.seq LIMIT ${take}`,
  );
  const events = await eventsOf(view, rows);
  const titles = await titlesOf(view, rows);
  const names = await namesOf(
    view,
    rows.flatMap(({ personId, kind, id }) => [personId, kind === 'person' ? id : null]),
  );
  return rows.map(({ seq, at, act, body, kind, id, personId }) => {
    const event = events.get(Number(seq));
    const data = (JSON.parse(body) as { data?: Record<string, unknown> }).data ?? {};
    return {
      seq: Number(seq),
      at,
      performedAt: event?.stamp.at ?? null,
      late: event?.stamp.late ?? false,
      what: actWords(act, event?.data ?? data),
      who: personId === null ? null : (names[personId] ?? personId),
      about: { kind, id, label: titles.get(id) ?? names[id] ?? named(data) ?? id },
    };
  });
}

/** How many acts an answer has. */
export async function lineCount(view: View, asking: Asking, which: Which): Promise<number> {
  const [row] = await rowsOf<{ count: number | string }>(
    view,
    sql`WITH ${chosen(view, asking, which, 0)} SELECT COUNT(*) AS "count" FROM chosen`,
  );
  return Number(row?.count ?? 0);
}

/**
 * All acts on runs of the period, even those recorded after it, and the period's other acts. Who may see some protocols
 * only sees no act on anything else. Looks are no part of what was done.
 */
function chosen(view: View, asking: Asking, { runs, acts, ofRuns }: Which, after: number): Sql {
  const { from, to, protocols } = asking;
  const { laboratoryId } = view;
  const seen =
    protocols === null
      ? sql`entry.subject_kind <> 'look'`
      : sql`entry.subject_id IN (SELECT id FROM revision WHERE protocol_id IN ${list(protocols)})`;
  return sql`worked AS (${runsOf(view, asking, runs)}), chosen AS (
    SELECT entry.seq FROM record_entry entry
      WHERE entry.laboratory_id = ${laboratoryId} AND entry.at >= ${from} AND entry.at < ${to} AND entry.seq > ${after}
        AND ${seen} AND ${acts}
    UNION
    SELECT entry.seq FROM worked JOIN record_entry entry ON entry.laboratory_id = ${laboratoryId}
      AND entry.subject_kind = 'run' AND entry.subject_id = worked.id AND entry.seq > ${after} AND ${ofRuns})`;
}

interface Event {
  stamp: BenchStamp;
  data: Record<string, unknown>;
}

async function eventsOf(view: View, rows: readonly Stored[]): Promise<Map<number, Event>> {
  const ofRuns = rows.filter(({ kind }) => kind === 'run');
  const events = await rowsOf<{ seq: number; stamp: string; data: string }>(
    view,
    sql`SELECT seq AS "seq", stamp AS "stamp", data AS "data" FROM run_event
      WHERE run_id IN ${list([...new Set(ofRuns.map(({ id }) => id))])} AND seq IN ${list(ofRuns.map(({ seq }) => seq))}`,
  );
  return new Map(
    events.map(({ seq, stamp, data }) => [
      Number(seq),
      { stamp: JSON.parse(stamp) as BenchStamp, data: JSON.parse(data) as Record<string, unknown> },
    ]),
  );
}

async function titlesOf(view: View, rows: readonly Stored[]): Promise<Map<string, string>> {
  const ids = [...new Set(rows.filter(({ kind }) => kind === 'run').map(({ id }) => id))];
  const found = await rowsOf<{ id: string; title: string }>(
    view,
    sql`SELECT run.id AS "id", revision.title AS "title" FROM run JOIN revision ON revision.id = run.revision_id
      WHERE run.id IN ${list(ids)}`,
  );
  return new Map(found.map(({ id, title }) => [id, title]));
}

function named(data: Record<string, unknown>): string | null {
  const found = ['label', 'code', 'name', 'protocol', 'number']
    .map((key) => data[key])
    .find((each) => each !== undefined);
  return typeof found === 'string' || typeof found === 'number' ? String(found) : null;
}
