import { Between, In } from 'typeorm';
import { isLimited, type OnlyRuns, type PackScope } from '../../core/pack/pack.js';
import { GENESIS } from '../../core/record/record.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { CheckpointRow, HeadRow, RecordRow } from '../rows/record.entity.js';
import type { View } from '../view.js';
import type { Kind } from './kinds.js';
import { RowText } from './row-text.js';

/** What is between two record numbers, both included. */
export interface Span {
  first: number;
  last: number;
}

/** What a pack limits its rows by. */
export interface Bounds {
  period: Span;
  only: OnlyRuns;
}

/** Rows of one page. */
const PAGE = 2000;

/**
 * Record numbers of a period: from its first entry to its last. Found by halving, since the instants of the record only
 * go forward. Null when nothing was recorded in it.
 */
export async function spanOf(view: View, { since, until }: Pick<PackScope, 'since' | 'until'>): Promise<Span | null> {
  const end = (await view.one(HeadRow, {}))?.seq ?? 0;
  const first = await firstFrom(view, since, end);
  const last = (await firstFrom(view, until, end)) - 1;
  return first > last ? null : { first, last };
}

/** Refuses a pack over a period in which nothing was recorded. */
export async function needSpan(view: View, { from, to, since, until }: PackScope): Promise<Span> {
  const span = await spanOf(view, { since, until });
  if (span) return span;
  const message = `No record exists from ${from} to ${to}; take another period.`;
  throw new Refusal('invalid', 'no-record', message, [{ at: 'from', message }]);
}

async function firstFrom(view: View, at: Instant, end: number): Promise<number> {
  let [low, high] = [1, end + 1];
  while (low < high) {
    const middle = (low + high) >> 1;
    const entry = await view.one(RecordRow, { seq: middle });
    if (entry && entry.at >= at) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** The first checkpoint that covers an entry; null when none does. */
export async function checkpointFrom(view: View, seq: number): Promise<CheckpointRow | null> {
  return around(view, 'ASC', `checkpoint.seq >= :seq`, seq);
}

/** The last checkpoint before an entry; null when there is none. */
export async function checkpointBefore(view: View, seq: number): Promise<CheckpointRow | null> {
  return around(view, 'DESC', `checkpoint.seq < :seq`, seq);
}

async function around(view: View, order: 'ASC' | 'DESC', where: string, seq: number): Promise<CheckpointRow | null> {
  return (await view.ready())
    .createQueryBuilder(CheckpointRow, 'checkpoint')
    .where(`checkpoint.laboratoryId = :laboratoryId AND ${where}`, { laboratoryId: view.laboratoryId, seq })
    .orderBy('checkpoint.number', order)
    .limit(1)
    .getOne();
}

/** The checkpoints that sign entries of a span, in the order in which they were signed. */
export function checkpointsIn(view: View, { first, last }: Span): Promise<CheckpointRow[]> {
  return view.all(CheckpointRow, { seq: Between(first, last) }, { order: { number: 'ASC' } });
}

/** The hash before an entry. */
export async function hashBefore(view: View, seq: number): Promise<string> {
  return seq <= 1 ? GENESIS : (await view.need(RecordRow, { seq: seq - 1 }, `entry ${seq - 1}`)).hash;
}

/** How many rows of a kind a pack holds; of those alone for which a condition holds, in which `t` is the row. */
export async function countRows(view: View, kind: Kind, bounds: Bounds, which?: string): Promise<number> {
  const { from, values } = selection(view, kind, bounds);
  const sql = `SELECT COUNT(*) AS n ${from}${which === undefined ? '' : ` AND ${which}`}`;
  const [row] = (await (await view.ready()).query(sql, values)) as { n: number | string }[];
  return Number(row?.n ?? 0);
}

/** The rows of a kind, as text, a page at a time by their ids. */
export async function* rowPages(
  view: View,
  kind: Kind,
  bounds: Bounds,
): AsyncGenerator<{ rows: number; jsonl: string; csv: string }> {
  const text = new RowText(kind.table);
  for (let after = ''; ;) {
    const rows = await page(view, kind, bounds, text.columns, after);
    let [jsonl, csv] = ['', after === '' ? text.csvHeader() : ''];
    for (const row of rows) {
      jsonl += `${text.line(row)}\n`;
      csv += text.csvLine(row);
    }
    yield { rows: rows.length, jsonl, csv };
    const last = rows.at(-1);
    if (!last || rows.length < PAGE) return;
    after = last.id;
  }
}

/** Some columns of a kind's rows, a page at a time by their ids. */
export async function* columnPages<T extends { id: string }>(
  view: View,
  kind: Kind,
  bounds: Bounds,
  columns: string,
): AsyncGenerator<T[]> {
  for (let after = ''; ;) {
    const rows = (await page(view, kind, bounds, columns, after)) as unknown as T[];
    yield rows;
    const last = rows.at(-1);
    if (!last || rows.length < PAGE) return;
    after = last.id;
  }
}

async function page(
  view: View,
  kind: Kind,
  bounds: Bounds,
  columns: string,
  after: string,
): Promise<({ id: string } & Record<string, unknown>)[]> {
  const { from, values } = selection(view, kind, bounds, after);
  return (await view.ready()).query(`SELECT ${columns} ${from} ORDER BY t.id LIMIT ${PAGE}`, values);
}

/** FROM and WHERE of a kind's rows, with placeholders numbered as they stand. */
function selection(
  view: View,
  { table, earlier, within }: Kind,
  { period, only }: Bounds,
  after = '',
): { from: string; values: unknown[] } {
  const values: unknown[] = [];
  const put = (value: unknown): string => `$${values.push(value)}`;
  const filled = (sql: string): string =>
    sql.replaceAll(/\{period\}|\{runs\}/g, (name) =>
      name === '{runs}' ? runsOf(view, only, period, put) : `BETWEEN ${put(period.first)} AND ${put(period.last)}`,
    );
  const where = [
    `t.id > ${put(after)} AND t.laboratory_id = ${put(view.laboratoryId)} AND t.seq <= ${put(period.last)}`,
  ];
  if (earlier !== 'all' && period.first > 1) {
    const inPeriod = `t.seq >= ${put(period.first)}`;
    where.push(earlier === 'none' ? inPeriod : `(${inPeriod} OR ${filled(earlier)})`);
  }
  if (within !== null && isLimited(only)) where.push(filled(within));
  return { from: `FROM "${table.tableName}" t WHERE ${where.join(' AND ')}`, values };
}

/** The runs that a pack is limited to, as SQL. */
function runsOf(view: View, only: OnlyRuns, period: Span, put: (value: unknown) => string): string {
  const list = (of: readonly string[]): string => of.map(put).join(', ');
  const where = [`r.laboratory_id = ${put(view.laboratoryId)} AND r.seq <= ${put(period.last)}`];
  if (only.protocols.length > 0)
    where.push(`r.revision_id IN (SELECT id FROM revision WHERE protocol_id IN (${list(only.protocols)}))`);
  if (only.people.length > 0) where.push(`r.person_id IN (${list(only.people)})`);
  if (only.lots.length > 0) {
    where.push(
      `r.id IN (SELECT u.run_id FROM tray_use u JOIN container c ON c.id = u.container_id WHERE c.lot_id IN (${list(only.lots)}))`,
    );
  }
  if (only.runs.length > 0) where.push(`r.id IN (${list(only.runs)})`);
  return `(SELECT r.id FROM run r WHERE ${where.join(' AND ')})`;
}

/** Entries of a span as lines of JSON, a page at a time by their numbers; the bytes as they are stored. */
export async function* entryPages(view: View, { first, last }: Span): AsyncGenerator<{ rows: number; jsonl: string }> {
  for (let after = first - 1; after < last;) {
    const rows = (await (
      await view.ready()
    ).query(
      `SELECT seq, body, hash FROM record_entry WHERE laboratory_id = $1 AND seq > $2 AND seq <= $3 ORDER BY seq LIMIT ${PAGE}`,
      [view.laboratoryId, after, last],
    )) as Pick<RecordRow, 'seq' | 'body' | 'hash'>[];
    const end = rows.at(-1);
    if (!end) return;
    let jsonl = '';
    for (const { seq, body, hash } of rows) jsonl += `{"body":${JSON.stringify(body)},"hash":"${hash}","seq":${seq}}\n`;
    yield { rows: rows.length, jsonl };
    after = end.seq;
  }
}

/** Those of the ids that name a row; to refuse the others. */
export async function knownIds(
  view: View,
  row: new () => { id: string; laboratoryId: string },
  ids: readonly string[],
): Promise<Set<string>> {
  if (ids.length === 0) return new Set();
  return new Set((await view.all(row, { id: In([...ids]) })).map(({ id }) => id));
}
