import { spawnSync } from 'node:child_process';
import { createHash, hash } from 'node:crypto';
import { createWriteStream, statSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { fileURLToPath } from 'node:url';
import { SystemClock } from '../../src/clock.js';
import { type Entry, GENESIS, linkFault, linkOf, rowHash } from '../../src/core/record/record.js';
import { Outlet } from '../../src/packs/outlet.js';
import { writePack } from '../../src/packs/write-pack.js';
import { zipOf } from '../../src/packs/zip.js';
import { connect } from '../../src/store/data-source.js';
import type { PackRow } from '../../src/store/rows/packs.entity.js';
import { LotRow } from '../../src/store/rows/stock.entity.js';
import { RevisionRow } from '../../src/store/rows/protocols.entity.js';
import { ReleaseRow, RunEventRow, RunRow, RunSubjectRow } from '../../src/store/rows/runs.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { Store } from '../../src/store/store.js';
import { rowContent } from '../../src/store/unit.js';
import { placesIn } from '../support/checkpoints.js';

/**
 * A pack of one year, 50,000 runs with 500,000 step events: beside a plain dump of the same rows to JSON by bare SQL, each in
 * a process of its own; and the check of the chain beside a bare SHA-256 over the same bytes.
 */
const RUNS = Number(process.env['BENCH_RUNS'] ?? 50_000);
const EVENTS_A_RUN = 10;
const L = 'bench';
const SELF = fileURLToPath(import.meta.url);
const BEGIN_MS = Date.parse('2026-01-01T00:00:00.000Z');
const YEAR_MS = 365 * 86_400_000;
const TABLES = ['revision', 'lot', 'subject', 'run', 'run_subject', 'run_event', 'release'];

async function storeIn(folder: string): Promise<Store> {
  return new Store(await connect({ kind: 'sqlite', file: join(folder, 'bench.sqlite') }), new SystemClock());
}

/** The year: each act with its entry, as the program would have written it. */
async function fill(folder: string): Promise<void> {
  const store = await storeIn(folder);
  const { writer } = store.connections;
  let [seq, hash] = [0, GENESIS];
  const values = new Map<string, string[]>();
  const literal = (value: unknown): string => {
    if (value === null || value === undefined) return 'NULL';
    if (typeof value === 'boolean') return value ? '1' : '0';
    if (typeof value === 'number') return String(value);
    return `'${(typeof value === 'string' ? value : JSON.stringify(value)).replaceAll("'", "''")}'`;
  };
  const put = (table: string, columns: string, row: unknown[]): void => {
    const into = `INSERT INTO "${table}" (${columns}) VALUES `;
    const list = values.get(into) ?? [];
    list.push(`(${row.map(literal).join(',')})`);
    values.set(into, list);
  };
  const flush = async (): Promise<void> => {
    await writer.query('PRAGMA foreign_keys = OFF');
    await writer.query('BEGIN');
    for (const [into, rows] of values)
      for (let n = 0; n < rows.length; n += 500) await writer.query(into + rows.slice(n, n + 500).join(','));
    await writer.query('COMMIT');
    values.clear();
  };
  const act = (
    what: string,
    at: string,
    subjectId: string,
    rows: [new () => object, Record<string, unknown>][],
  ): void => {
    seq += 1;
    const marks = rows.map(([row, given]) => {
      const table = writer.getMetadata(row);
      const content = rowContent(table, { ...given, laboratoryId: L, seq });
      put(
        table.tableName,
        table.columns.map(({ databaseName }) => `"${databaseName}"`).join(','),
        table.columns.map(({ propertyName }) => content[propertyName]),
      );
      return { table: table.tableName, id: String(given['id']), sha256: rowHash(content) };
    });
    const subject = { kind: 'run', id: subjectId };
    const actor = { person: 'person-1', device: null };
    const entry: Entry = { v: 1, laboratory: L, seq, at, actor, act: what, subject, data: {}, rows: marks };
    const link = linkOf(hash, entry);
    hash = link.hash;
    put('record_entry', 'laboratory_id,seq,at,act,subject_kind,subject_id,person_id,body,hash', [
      L,
      seq,
      at,
      what,
      'run',
      subjectId,
      'person-1',
      link.body,
      hash,
    ]);
  };
  await writer.query(
    `INSERT INTO laboratory (id, name, zone, demo, drift_ppm, created_at) VALUES ('${L}', 'bench', 'UTC', 0, 100, '2026-01-01T00:00:00.000Z')`,
  );
  const begin = new Date(BEGIN_MS).toISOString();
  const content = { id: 'p', title: 'Bench' };
  act('protocol.drafted', begin, 'v', [
    [RevisionRow, { id: 'v', protocolId: 'p', number: 1, title: 'Bench', content, contentHash: rowHash(content) }],
    [
      LotRow,
      {
        id: 'lot-1',
        reagentCode: 'dye',
        number: '1',
        origin: 'supplied',
        source: 'invented',
        receivedAt: begin,
        limits: [{ by: 'expiry', until: '2027-12-31T00:00:00.000Z' }],
      },
    ],
  ]);
  const signature = {
    personId: 'person-1',
    name: 'Invented',
    at: begin,
    meaning: 'release',
    recordHash: '0'.repeat(64),
  };
  for (let n = 0; n < RUNS; n += 1) {
    const ms = BEGIN_MS + 60_000 + Math.floor((n / RUNS) * (YEAR_MS - 7_200_000));
    const at = (step: number): string => new Date(ms + step * 60_000).toISOString();
    const id = `run-${String(n).padStart(7, '0')}`;
    act('run.started', at(0), id, [
      [SubjectRow, { id: `s-${id}`, kind: 'slide', label: `SW1:L:${id}`, description: 'slide', irreplaceable: false }],
      [RunRow, { id, revisionId: 'v', station: 'Bench', purpose: 'patients', startedAt: at(0), personId: 'person-1' }],
      [RunSubjectRow, { id: `b-${id}`, runId: id, subjectId: `s-${id}`, role: 'patient' }],
    ]);
    for (let step = 0; step < EVENTS_A_RUN; step += 1) {
      const stamp = {
        device: 'station-1',
        clockSession: 'station-1-morning',
        monotonicMs: ms + step,
        at: at(step),
        uncertaintyMs: 20,
        offsetMs: 0,
        roundTripMs: 40,
        late: false,
      };
      const event = {
        id: `e-${id}-${step}`,
        runId: id,
        kind: step % 2 === 0 ? 'step-started' : 'step-ended',
        data: { step: `step-${step >> 1}` },
        stamp,
        personId: 'person-1',
        receivedAt: at(step),
      };
      act('run.step', at(step), id, [[RunEventRow, event]]);
    }
    const release = {
      id: `x-${id}`,
      runId: id,
      subjectId: `s-${id}`,
      point: 'adequacy',
      kind: 'stained material',
      verdict: 'clear',
      findings: [],
      judgedTo: seq,
      rules: '1',
      signature,
    };
    act('release.made', at(EVENTS_A_RUN), id, [[ReleaseRow, release]]);
    if (n % 1000 === 999) await flush();
  }
  await flush();
  await writer.query(`INSERT INTO record_head (laboratory_id, seq, hash) VALUES ('${L}', ${seq}, '${hash}')`);
  await writer.query('PRAGMA wal_checkpoint(TRUNCATE)');
  await store.close();
}

/** What a person with a database console would write: each row as JSON, a line each. */
async function dump(folder: string): Promise<void> {
  const store = await storeIn(folder);
  const { reader } = store.connections;
  async function* lines(): AsyncGenerator<string> {
    for (const [table, key] of [...TABLES.map((each) => [each, 'id']), ['record_entry', 'seq']] as [string, string][]) {
      for (let after: string | number = key === 'id' ? '' : 0; ;) {
        const rows = (await reader.query(
          `SELECT * FROM "${table}" WHERE laboratory_id = $1 AND ${key} > $2 ORDER BY ${key} LIMIT 2000`,
          [L, after],
        )) as Record<string, string | number>[];
        const last = rows.at(-1);
        if (!last) break;
        yield rows.map((row) => `${JSON.stringify(row)}\n`).join('');
        after = last[key] as string | number;
      }
    }
  }
  await pipeline(Readable.from(lines()), createWriteStream(join(folder, 'dump.jsonl')));
  await store.close();
}

async function pack(folder: string): Promise<void> {
  const store = await storeIn(folder);
  const clock = new SystemClock();
  const [from, to] = ['2026-01-01', '2026-12-31'];
  const only = { protocols: [], people: [], lots: [], runs: [] };
  const bounds = { since: `${from}T00:00:00.000Z`, until: '2027-01-01T00:00:00.000Z' };
  const scope: PackRow['scope'] = { from, to, ...bounds, identifiers: 'masked', chain: 'whole', only, shown: [] };
  const outlet = await Outlet.staged(join(folder, 'making'));
  const row = { id: 'pack-1', laboratoryId: L, seq: 0, at: clock.now(), personId: null, scope };
  const places = placesIn(folder);
  const work = { store, laboratoryId: L, pack: row, outlet, checkpoints: places, filesDir: folder };
  await writePack({ ...work, now: () => clock.now(), told: () => Promise.resolve() });
  await zipOf(outlet.files, join(folder, 'pack.zip'), clock.now());
  await store.close();
}

/** How long the check of each link takes, and a bare hash of the same bytes. */
async function chain(folder: string): Promise<void> {
  const store = await storeIn(folder);
  const { reader } = store.connections;
  let [streamMs, bareMs, ourMs, bytes, previous] = [0, 0, 0, 0, { seq: 0, hash: GENESIS }];
  for (;;) {
    const links = (await reader.query(
      'SELECT seq, body, hash FROM record_entry WHERE laboratory_id = $1 AND seq > $2 ORDER BY seq LIMIT 5000',
      [L, previous.seq],
    )) as { seq: number; body: string; hash: string }[];
    if (links.length === 0) break;
    const first = performance.now();
    let before = previous.hash;
    for (const { body } of links) before = createHash('sha256').update(`${before}\n${body}`).digest('hex');
    const begin = performance.now();
    before = previous.hash;
    for (const { body } of links) before = hash('sha256', `${before}\n${body}`, 'hex');
    const middle = performance.now();
    for (const link of links) {
      const fault = linkFault(previous, link);
      if (fault) throw new Error(fault.message);
      previous = link;
      bytes += link.body.length;
    }
    streamMs += begin - first;
    bareMs += middle - begin;
    ourMs += performance.now() - middle;
  }
  console.log(`chain of ${previous.seq} entries, ${(bytes / 1e6).toFixed(0)} MB`);
  console.log(`  bare SHA-256, createHash                ${streamMs.toFixed(0)} ms`);
  console.log(`  bare SHA-256, in one call               ${bareMs.toFixed(0)} ms`);
  console.log(`  check of every link                     ${ourMs.toFixed(0)} ms`);
  const rates = [streamMs, bareMs].map((ms) => (ms / ourMs).toFixed(2)).join(' and ');
  console.log(`  rate beside each                        ${rates} (aim 0.5)`);
  await store.close();
}

/** Does it in a process of its own; answers its milliseconds and the most memory that it held, in MB. */
function apart(what: string, folder: string): { ms: number; mb: number } {
  const { status, stdout, stderr } = spawnSync(process.execPath, [SELF, what, folder], { encoding: 'utf8' });
  if (status !== 0) throw new Error(`${what}: ${stderr}`);
  return JSON.parse(stdout.trim().split('\n').at(-1) ?? '') as { ms: number; mb: number };
}

const WORK: Record<string, (folder: string) => Promise<void>> = { dump, pack };
const [, , asked, given] = process.argv;
if (asked !== undefined && given !== undefined) {
  const begin = performance.now();
  await (WORK[asked] as (folder: string) => Promise<void>)(given);
  console.log(JSON.stringify({ ms: performance.now() - begin, mb: process.resourceUsage().maxRSS / 1024 }));
} else {
  const folder = await mkdtemp(join(tmpdir(), 'stainwright-pack-'));
  try {
    await fill(folder);
    const bare = apart('dump', folder);
    const ours = apart('pack', folder);
    const mb = (name: string): string => (statSync(join(folder, name)).size / 1e6).toFixed(0);
    console.log(`evidence pack of a year, ${RUNS} runs and ${RUNS * EVENTS_A_RUN} step events, SQLite`);
    console.log(`  plain dump to JSON                      ${bare.ms.toFixed(0)} ms, ${mb('dump.jsonl')} MB`);
    console.log(`  pack                                    ${ours.ms.toFixed(0)} ms, ${mb('pack.zip')} MB`);
    console.log(`  ratio                                   ${(ours.ms / bare.ms).toFixed(2)} (aim 3)`);
    console.log(
      `  most memory of the pack                 ${ours.mb.toFixed(0)} MB (aim 400); of the dump ${bare.mb.toFixed(0)} MB`,
    );
    await chain(folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
