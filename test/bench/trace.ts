import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { HandClock } from '../../src/clock.js';
import { lotTrace, runPage } from '../../src/modules/recalls/answers.js';
import { connect, type DatabaseAddress } from '../../src/store/data-source.js';
import { tracedLots } from '../../src/store/questions/trace/lots.js';
import { reachOf } from '../../src/store/questions/trace/reach.js';
import { tracedRunIds, tracedRuns } from '../../src/store/questions/trace/runs.js';
import { Store } from '../../src/store/store.js';
import { onPostgres } from './own-postgres.js';

/**
 * The trace of a lot through 100,000 runs, beside the bare SQL query for the same rows: a stock solution of the lot, a
 * working solution of that, whose bottle stood on every tray; each run with one patient's slide, every second one released.
 */
const RUNS = Number(process.env['BENCH_RUNS'] ?? 100_000);
const L = 'bench';
const AT = '2026-11-25T09:00:00.000Z';
const ROUNDS = 5;

/** A number as an id that sorts. */
const runId = (n: string): string => `'r' || substr('0000000' || ${n}, -7)`;

function rowsOf(kind: DatabaseAddress['kind']): string[] {
  const numbers =
    kind === 'sqlite'
      ? `(WITH RECURSIVE many (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM many WHERE n < ${RUNS}) SELECT n FROM many)`
      : `(SELECT n FROM generate_series(1, ${RUNS}) AS many (n))`;
  const id = kind === 'sqlite' ? runId('n') : `'r' || lpad(n::text, 7, '0')`;
  const lots = ['bought', 'stock', 'working', 'other'];
  const stamp = JSON.stringify({
    device: 'd',
    monotonicMs: 1,
    at: AT,
    uncertaintyMs: 20,
    offsetMs: 0,
    roundTripMs: 1,
    late: false,
  });
  const signature = JSON.stringify({ personId: 'p', name: 'Invented', at: AT, meaning: 'release', recordHash: '00' });
  return [
    `INSERT INTO laboratory (id, name, zone, demo, drift_ppm, created_at) VALUES ('${L}', 'bench', 'UTC', ${kind === 'sqlite' ? 0 : 'false'}, 100, '${AT}')`,
    `INSERT INTO revision (id, laboratory_id, seq, protocol_id, number, title, content, content_hash) VALUES ('v', '${L}', 1, 'p', 1, 'Bench', '{}', '00')`,
    ...lots.flatMap((lot, n) => [
      `INSERT INTO lot (id, laboratory_id, seq, reagent_code, number, origin, source, received_at, limits)
        VALUES ('${lot}', '${L}', 1, 'dye', '${lot}', '${n === 0 || n === 3 ? 'supplied' : 'prepared'}', 'x', '${AT}', '[]')`,
      `INSERT INTO container (id, laboratory_id, seq, lot_id, label) VALUES ('c-${lot}', '${L}', 1, '${lot}', 'L-${lot}')`,
    ]),
    `INSERT INTO component (id, laboratory_id, seq, lot_id, container_id, at) VALUES ('k1', '${L}', 1, 'stock', 'c-bought', '2026-11-01T09:00:00.000Z')`,
    `INSERT INTO component (id, laboratory_id, seq, lot_id, container_id, at) VALUES ('k2', '${L}', 1, 'working', 'c-stock', '2026-11-02T09:00:00.000Z')`,
    `INSERT INTO subject (id, laboratory_id, seq, kind, label, description, irreplaceable)
      SELECT 's' || ${id}, '${L}', 2, 'slide', 'SW1:S:' || ${id}, 'slide', ${kind === 'sqlite' ? 0 : 'false'} FROM ${numbers} AS them`,
    `INSERT INTO run (id, laboratory_id, seq, revision_id, station, purpose, started_at, person_id)
      SELECT ${id}, '${L}', 2, 'v', 'Bench', 'patients', '${AT}', 'p' FROM ${numbers} AS them`,
    `INSERT INTO run_subject (id, laboratory_id, seq, run_id, subject_id, role)
      SELECT 'b' || ${id}, '${L}', 2, ${id}, 's' || ${id}, 'patient' FROM ${numbers} AS them`,
    ...['working', 'other'].flatMap((lot) => [
      `INSERT INTO run_event (id, laboratory_id, seq, run_id, kind, data, stamp, person_id, received_at)
        SELECT 'e-${lot}-' || ${id}, '${L}', 3, ${id}, 'tray-scanned', '{"reagent":"dye","container":"c-${lot}"}', '${stamp}', 'p', '${AT}' FROM ${numbers} AS them`,
      `INSERT INTO tray_use (id, laboratory_id, seq, run_id, container_id, reagent_code, event_id, person_id, at)
        SELECT 'u-${lot}-' || ${id}, '${L}', 3, ${id}, 'c-${lot}', 'dye', 'e-${lot}-' || ${id}, 'p', '${AT}' FROM ${numbers} AS them`,
    ]),
    `INSERT INTO release (id, laboratory_id, seq, run_id, subject_id, point, kind, verdict, findings, judged_to, rules, signature)
      SELECT 'x' || ${id}, '${L}', 4, ${id}, 's' || ${id}, 'adequacy', 'stained material', 'clear', '[]', 3, '1', '${signature}'
      FROM ${numbers} AS them WHERE n % 2 = 0`,
    'ANALYZE',
  ];
}

/** What a person with a database console would ask for: the counts, and every row. */
const REACHED = `WITH RECURSIVE reached (lot_id, since) AS (
    SELECT id, CAST('' AS text) FROM lot WHERE id = 'bought'
    UNION SELECT component.lot_id, component.at FROM reached
      JOIN container ON container.lot_id = reached.lot_id
      JOIN component ON component.container_id = container.id AND component.at >= reached.since)`;
const FROM = `FROM reached JOIN container ON container.lot_id = reached.lot_id
    JOIN tray_use ON tray_use.container_id = container.id AND tray_use.at >= reached.since
    JOIN run ON run.id = tray_use.run_id JOIN run_subject ON run_subject.run_id = run.id AND run_subject.role = 'patient'
    LEFT JOIN release ON release.run_id = run.id AND release.subject_id = run_subject.subject_id`;
const BARE_COUNTS = `${REACHED} SELECT COUNT(DISTINCT run.id), COUNT(DISTINCT run_subject.subject_id), COUNT(DISTINCT release.id) ${FROM}`;
const BARE_ROWS = `${REACHED} SELECT run.id, revision.title, run.station, run.purpose, run.started_at, run.person_id, container.id,
    container.label, subject.id, subject.label, subject.kind, subject.description, release.id, release.point, release.kind,
    release.signature ${FROM.replace('JOIN run_subject', 'JOIN revision ON revision.id = run.revision_id JOIN run_subject')}
    JOIN subject ON subject.id = run_subject.subject_id ORDER BY run.id`;

/** The middle of several rounds, in ms; the two sides take turns, so that what else the machine does strikes both. */
async function compare(bare: () => Promise<unknown>, ours: () => Promise<unknown>): Promise<[number, number]> {
  const took: [number[], number[]] = [[], []];
  for (let round = 0; round < ROUNDS; round += 1) {
    for (const [n, work] of [bare, ours].entries()) {
      const begin = performance.now();
      await work();
      took[n as 0 | 1].push(performance.now() - begin);
    }
  }
  return took.map((each) => each.sort((a, b) => a - b)[Math.floor(ROUNDS / 2)] as number) as [number, number];
}

async function measure(name: string, address: DatabaseAddress): Promise<void> {
  const store = new Store(await connect(address), new HandClock(Date.parse(AT)));
  const { writer, reader } = store.connections;
  try {
    for (const statement of rowsOf(address.kind)) await writer.query(statement);
    const roots = ['bought'];
    const { counts } = await store.read(L, (view) => lotTrace(view, roots));
    if (counts.runs !== RUNS || counts.subjects !== RUNS || counts.releases !== Math.floor(RUNS / 2)) {
      throw new Error(`the trace counted ${JSON.stringify(counts)}`);
    }
    console.log(`trace of a lot through two preparations and ${RUNS} runs, ${name}`);
    const page = await compare(
      () => reader.query(BARE_COUNTS),
      () =>
        store.read(L, async (view) => {
          await lotTrace(view, roots);
          await runPage(view, roots, { take: 50 });
        }),
    );
    say('tree, counts and first page', page);
    const whole = await compare(
      () => reader.query(BARE_ROWS),
      () =>
        store.read(L, async (view) => {
          const reach = await reachOf(view, roots);
          await tracedLots(view, reach);
          const ids = await tracedRunIds(view, reach);
          for (let from = 0; from < ids.length; from += 1000)
            await tracedRuns(view, reach, ids.slice(from, from + 1000));
        }),
    );
    say('every run with its slides and releases', whole);
  } finally {
    await store.close();
  }
}

function say(what: string, [bare, ours]: [number, number]): void {
  console.log(`  ${what}`);
  console.log(`    bare SQL                              ${bare.toFixed(0)} ms`);
  console.log(`    trace                                 ${ours.toFixed(0)} ms`);
  console.log(`    ratio                                 ${(ours / bare).toFixed(2)} (aim 2)`);
}

const folder = await mkdtemp(join(tmpdir(), 'stainwright-trace-'));
try {
  await measure('SQLite', { kind: 'sqlite', file: join(folder, 'trace.sqlite') });
} finally {
  await rm(folder, { recursive: true, force: true });
}
const server = process.env['TEST_POSTGRES_URL'];
if (server) await onPostgres(server, (address) => measure('PostgreSQL', address));
else console.log('trace on PostgreSQL: not measured, TEST_POSTGRES_URL is not set');
