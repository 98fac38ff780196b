import { type EntityMetadata, In } from 'typeorm';
import { judge } from '../../core/gate/judge.js';
import { RULES_VERSION } from '../../core/gate/rules.js';
import { canonicalText, type Entry, GENESIS, linkFault, rowHash, type RowMark } from '../../core/record/record.js';
import { HeadRow, RecordRow, SealedRow } from '../rows/record.entity.js';
import { ReleaseRow } from '../rows/runs.entity.js';
import type { FactRow } from '../rows/fact.js';
import { rowContent } from '../unit.js';
import type { LaboratoryScoped, View } from '../view.js';
import { BEFORE_ALL, entriesAfter } from './entries.js';
import { laboratoriesHere } from './laboratories.js';
import { loadRun, runFacts } from './runs.js';

/** One place where the record, the rows and the verdicts do not agree. */
export interface RecordFault {
  laboratory: string;
  /** Record number that the place claims. */
  seq: number;
  table: string;
  /** Id of the row; null for an entry of the chain. */
  id: string | null;
  code:
    | 'gap'
    | 'changed'
    | 'misplaced'
    | 'not-canonical'
    | 'unreadable'
    | 'copied-wrong'
    | 'head'
    | 'row-missing'
    | 'row-changed'
    | 'row-unnamed'
    | 'verdict-changed';
  message: string;
}

/** How much was looked at; complete once the faults are all told. */
export interface VerifyCounts {
  entries: number;
  /** The end of the chain: kept elsewhere, it shows later whether entries were cut off. */
  last: { seq: number; hash: string };
  rows: number;
  /** Sealed values that were removed by law: their hash stays and cannot be checked any more. */
  removed: number;
  releases: number;
  /** Releases judged by another version of the rules, whose verdict this version cannot find again. */
  otherRules: number;
}

const PAGE = 500;

/**
 * Checks one laboratory: that each entry follows from the one before it, that every fact row an entry names is there
 * with the hash that it names, that no fact row is there that no entry names, and that the gate says of each release
 * what it said then. Reads page by page.
 *
 * A chain that was cut off or made anew together with its rows holds by itself: that shows only against checkpoints.
 */
export function verifyRecord(view: View): { counts: VerifyCounts; faults: AsyncGenerator<RecordFault> } {
  const counts: VerifyCounts = {
    entries: 0,
    last: { seq: 0, hash: GENESIS },
    rows: 0,
    removed: 0,
    releases: 0,
    otherRules: 0,
  };
  return { counts, faults: faultsOf(view, counts) };
}

/** Ids of every laboratory of which anything is written here, in their order; one without a row of its own included. */
export async function laboratoryIds(view: View): Promise<string[]> {
  const ids = new Set((await laboratoriesHere(view)).map(({ id }) => id));
  for (const table of [HeadRow, RecordRow, ...factTables(view).map(({ target }) => target)]) {
    const found = await (
      await view.ready()
    )
      .createQueryBuilder<LaboratoryScoped>(table, 'each')
      .select('DISTINCT each.laboratoryId', 'id')
      .getRawMany<{ id: string }>();
    for (const { id } of found) ids.add(id);
  }
  return [...ids].sort();
}

async function* faultsOf(view: View, counts: VerifyCounts): AsyncGenerator<RecordFault> {
  const told = new Set<string>();
  for await (const fault of chainFaults(view, counts)) {
    if (fault.id !== null) told.add(`${fault.table} ${fault.id}`);
    yield fault;
  }
  for await (const fault of unnamedRows(view)) {
    // A row whose record number was changed is told already.
    if (!told.has(`${fault.table} ${fault.id ?? ''}`)) yield fault;
  }
  yield* verdictFaults(view, counts);
}

async function* chainFaults(view: View, counts: VerifyCounts): AsyncGenerator<RecordFault> {
  let previous = { seq: 0, hash: GENESIS };
  let after = BEFORE_ALL;
  for (;;) {
    // Read before the entries: when none follow, it must be the end that they came to, even while others write.
    const head = await view.one(HeadRow, {});
    const page = await entriesAfter(view, after, PAGE);
    if (page.length === 0) {
      counts.last = { seq: previous.seq, hash: previous.hash };
      yield* headFaults(view, head, previous);
      return;
    }
    const entries: Entry[] = [];
    for (const row of page) {
      counts.entries += 1;
      const { fault, entry } = readLink(previous, row);
      if (fault) yield inChain(view, row.seq, fault.code, fault.message);
      if (entry) {
        entries.push(entry);
        yield* copyFaults(view, row, entry);
      }
      previous = row;
      after = row.seq;
    }
    yield* namedRows(view, entries, counts);
  }
}

function readLink(
  previous: { seq: number; hash: string },
  row: RecordRow,
): { fault: { code: RecordFault['code']; message: string } | null; entry: Entry | null } {
  const entry = readEntry(row.body);
  if (entry) return { fault: linkFault(previous, row), entry };
  return { fault: { code: 'unreadable', message: `entry ${row.seq} cannot be read as an entry` }, entry: null };
}

/** What the body says; null when it is not what an entry is. */
function readEntry(body: string): Entry | null {
  try {
    const entry = JSON.parse(body) as Partial<Entry> | null;
    const whole = entry?.actor && entry.subject && Array.isArray(entry.rows) && entry.rows.every((mark) => mark);
    return whole ? (entry as Entry) : null;
  } catch {
    return null;
  }
}

/** The columns beside the body are there to search by; they must say the same. */
function* copyFaults(view: View, row: RecordRow, entry: Entry): Generator<RecordFault> {
  const { laboratoryId, at, act, subjectKind, subjectId, personId } = row;
  const copied = { laboratory: laboratoryId, at, act, subject: { kind: subjectKind, id: subjectId }, person: personId };
  const { laboratory, at: when, act: what, subject, actor } = entry;
  const said = { laboratory, at: when, act: what, subject, person: actor.person };
  if (canonicalText(copied) !== canonicalText(said)) {
    yield inChain(view, row.seq, 'copied-wrong', `the columns of entry ${row.seq} do not say what its body says`);
  }
}

function* headFaults(view: View, head: HeadRow | null, last: { seq: number; hash: string }): Generator<RecordFault> {
  const { seq, hash } = head ?? { seq: 0, hash: GENESIS };
  if (seq === last.seq && hash === last.hash) return;
  yield inChain(
    view,
    last.seq,
    'head',
    `the chain ends with entry ${last.seq} ${last.hash.slice(0, 12)}…, but its head says ${seq} ${hash.slice(0, 12)}…: entries at its end were removed, added or changed`,
    metadataOf(view, HeadRow).tableName,
  );
}

/** Every row that these entries name is there and has the hash that they name. */
async function* namedRows(view: View, entries: readonly Entry[], counts: VerifyCounts): AsyncGenerator<RecordFault> {
  const tables = new Map(factTables(view).map((table) => [table.tableName, table]));
  const marks = entries.flatMap(({ seq, rows }) => rows.map((mark) => ({ ...mark, seq })));
  for (const name of new Set(marks.map(({ table }) => table))) {
    const own = marks.filter(({ table }) => table === name);
    const table = tables.get(name);
    const found = new Map<string, Content>();
    for (let n = 0; table && n < own.length; n += PAGE) {
      for (const row of await contents(view, table, own.slice(n, n + PAGE))) found.set(row.id, row);
    }
    for (const mark of own) {
      counts.rows += 1;
      const row = found.get(mark.id);
      if (!row) {
        yield ofRow(view, mark, 'row-missing', `entry ${mark.seq} names a row that is not there`);
      } else if (row.content && row.content['seq'] === mark.seq && rowHash(row.content) === mark.sha256) {
        continue;
      } else if (table?.target === SealedRow && row.content && !('value' in row.content)) {
        counts.removed += 1;
      } else {
        yield ofRow(view, mark, 'row-changed', `the row is not as entry ${mark.seq} recorded it`);
      }
    }
  }
}

interface Content {
  id: string;
  /** Null when the row cannot be read as what it should be. */
  content: Record<string, unknown> | null;
}

async function contents(view: View, table: EntityMetadata, marks: readonly RowMark[]): Promise<Content[]> {
  try {
    const rows = await view.all<FactRow>(table.target, { id: In(marks.map(({ id }) => id)) });
    return rows.map((row) => ({ id: row.id, content: rowContent(table, row) }));
  } catch (error) {
    // One row whose JSON was spoiled; alone it must not hide the others.
    const [mark] = marks;
    if (!(error instanceof SyntaxError) || !mark) throw error;
    if (marks.length === 1) return [{ id: mark.id, content: null }];
    const half = marks.length >> 1;
    return [
      ...(await contents(view, table, marks.slice(0, half))),
      ...(await contents(view, table, marks.slice(half))),
    ];
  }
}

/** Rows that are there and that the entry of their record number does not name. */
async function* unnamedRows(view: View): AsyncGenerator<RecordFault> {
  for (const table of factTables(view)) {
    for await (const rows of places(view, table)) {
      const named = await namesIn(view, table.tableName, [...new Set(rows.map(({ seq }) => seq))]);
      for (const { id, seq } of rows) {
        if (!named.has(`${seq} ${id}`)) {
          yield ofRow(view, { table: table.tableName, id, seq }, 'row-unnamed', `no entry ${seq} names this row`);
        }
      }
    }
  }
}

/** The ids and record numbers of a table's rows, page by page; nothing else of them is read, since it may be spoiled. */
async function* places(view: View, table: EntityMetadata): AsyncGenerator<Pick<FactRow, 'id' | 'seq'>[]> {
  let after = '';
  for (;;) {
    const rows = await (
      await view.ready()
    )
      .createQueryBuilder<FactRow>(table.target, 'fact')
      .select(['fact.id', 'fact.seq'])
      .where('fact.laboratoryId = :laboratoryId AND fact.id > :after', { laboratoryId: view.laboratoryId, after })
      .orderBy('fact.id')
      .take(PAGE)
      .getMany();
    const last = rows.at(-1);
    if (!last) return;
    yield rows;
    after = last.id;
  }
}

async function namesIn(view: View, table: string, seqs: readonly number[]): Promise<Set<string>> {
  const entries = await view.all(RecordRow, { seq: In([...seqs]) }, { order: { seq: 'ASC' } });
  return new Set(
    entries.flatMap(({ seq, body }) =>
      (readEntry(body)?.rows ?? []).flatMap((mark) => (mark.table === table ? [`${seq} ${mark.id}`] : [])),
    ),
  );
}

/** Releases whose stored verdict and findings are not what the stored facts give. */
async function* verdictFaults(view: View, counts: VerifyCounts): AsyncGenerator<RecordFault> {
  const table = metadataOf(view, ReleaseRow);
  for await (const page of places(view, table)) {
    for (const { id, seq } of page) {
      counts.releases += 1;
      const message = await verdictFault(view, id, counts);
      if (message !== null) yield ofRow(view, { table: table.tableName, id, seq }, 'verdict-changed', message);
    }
  }
}

async function verdictFault(view: View, id: string, counts: VerifyCounts): Promise<string | null> {
  try {
    const release = await view.need(ReleaseRow, { id }, `release ${id}`);
    const { runId, judgedTo, subjectId, point, verdict, findings, rules } = release;
    if (rules !== RULES_VERSION) {
      counts.otherRules += 1;
      return null;
    }
    const { subjects } = judge(await runFacts(view, await loadRun(view, runId, judgedTo), judgedTo));
    const again = subjects.find((each) => each.subjectId === subjectId)?.points.find((each) => each.point === point);
    if (!again) return `the facts up to entry ${judgedTo} know no ${subjectId} at the release point ${point}`;
    if (again.verdict === verdict && canonicalText(again.findings) === canonicalText(findings)) return null;
    return `the release says ${inWords({ verdict, findings })}; the facts up to entry ${judgedTo} give ${inWords(again)}`;
  } catch (error) {
    return `its verdict cannot be found again: ${(error as Error).message}`;
  }
}

function inWords({ verdict, findings }: Pick<ReleaseRow, 'verdict' | 'findings'>): string {
  return `${verdict}, ${findings.length === 0 ? 'no findings' : findings.map(({ id }) => id).join(', ')}`;
}

/** The tables whose rows are written once and named in the record. */
function factTables(view: View): EntityMetadata[] {
  return view.connection.entityMetadatas.filter((table) =>
    ['id', 'laboratoryId', 'seq'].every((property) => table.findColumnWithPropertyName(property)),
  );
}

function metadataOf(view: View, row: new () => object): EntityMetadata {
  return view.connection.getMetadata(row);
}

function inChain(
  view: View,
  seq: number,
  code: RecordFault['code'],
  message: string,
  table = metadataOf(view, RecordRow).tableName,
): RecordFault {
  return { laboratory: view.laboratoryId, seq, table, id: null, code, message };
}

function ofRow(
  view: View,
  { table, id, seq }: { table: string; id: string; seq: number },
  code: RecordFault['code'],
  message: string,
): RecordFault {
  return { laboratory: view.laboratoryId, seq, table, id, code, message };
}
