import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { HandClock } from '../../src/clock.js';
import { connect, type DatabaseAddress } from '../../src/store/data-source.js';
import { found } from '../../src/store/questions/find.js';
import { Store } from '../../src/store/store.js';
import { onPostgres } from './own-postgres.js';

/**
 * How long the palette's question takes where 100,000 specimens, lots, bottles and runs are known, for what is there, what
 * is there often, and what is not there at all, which has to look at everything.
 */
const MANY = Number(process.env['BENCH_ROWS'] ?? 100_000);
const L = 'bench';
const AT = '2026-11-25T09:00:00.000Z';
const ROUNDS = 12;
const AIM_MS = 100;

function rowsOf(kind: DatabaseAddress['kind']): string[] {
  const [numbers, id, no] =
    kind === 'sqlite'
      ? [
          `(WITH RECURSIVE many (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM many WHERE n < ${MANY}) SELECT n FROM many)`,
          `substr('0000000' || n, -7)`,
          '0',
        ]
      : [`(SELECT n FROM generate_series(1, ${MANY}) AS many (n))`, `lpad(n::text, 7, '0')`, 'false'];
  const fact = `'${L}', 1`;
  return [
    `INSERT INTO laboratory (id, name, zone, demo, drift_ppm, created_at) VALUES ('${L}', 'bench', 'UTC', ${no}, 100, '${AT}')`,
    `INSERT INTO revision (id, laboratory_id, seq, protocol_id, number, title, content, content_hash) VALUES ('v', ${fact}, 'p', 1, 'Bench', '{}', '00')`,
    `INSERT INTO subject (id, laboratory_id, seq, kind, label, description, irreplaceable)
      SELECT 's' || ${id}, ${fact}, 'specimen', 'SW1:S:TARN-' || ${id}, 'core, neck lymph node, left', ${no} FROM ${numbers} AS them`,
    `INSERT INTO lot (id, laboratory_id, seq, reagent_code, number, origin, source, received_at, limits)
      SELECT 'l' || ${id}, ${fact}, 'eosin-y-aqueous', 'LOT-' || ${id}, 'supplied', 'Tidewater', '${AT}', '[]' FROM ${numbers} AS them`,
    `INSERT INTO container (id, laboratory_id, seq, lot_id, label)
      SELECT 'c' || ${id}, ${fact}, 'l' || ${id}, 'SW1:C:BOX-' || ${id} FROM ${numbers} AS them`,
    `INSERT INTO run (id, laboratory_id, seq, revision_id, station, purpose, started_at, person_id)
      SELECT 'r' || ${id}, ${fact}, 'v', 'Bench', 'patients', '${AT}', 'p' FROM ${numbers} AS them`,
    `INSERT INTO run_subject (id, laboratory_id, seq, run_id, subject_id, role)
      SELECT 'b' || ${id}, ${fact}, 'r' || ${id}, 's' || ${id}, 'patient' FROM ${numbers} AS them`,
    kind === 'sqlite' ? 'ANALYZE' : 'VACUUM ANALYZE',
  ];
}

/** What is asked, by how much of it there is. */
const ASKED = {
  'one specimen by its label': (n: number) => `TARN-${String(1 + ((n * 7919) % MANY)).padStart(7, '0')}`,
  'one lot by its number': (n: number) => `lot-${String(1 + ((n * 7919) % MANY)).padStart(7, '0')}`,
  'the end of a label': (n: number) => String(1 + ((n * 7919) % MANY)).padStart(7, '0'),
  'a word that everything holds': () => 'lymph node',
  'something that is not there': (n: number) => `no such thing ${n}`,
};

async function measure(name: string, address: DatabaseAddress): Promise<void> {
  const store = new Store(await connect(address), new HandClock(Date.parse(AT)));
  try {
    for (const statement of rowsOf(address.kind)) await store.connections.writer.query(statement);
    console.log(`the palette over ${MANY} specimens, lots, bottles and runs, ${name}`);
    for (const [what, text] of Object.entries(ASKED)) {
      const times: number[] = [];
      let items = 0;
      for (let n = 0; n <= ROUNDS; n++) {
        const begun = performance.now();
        items = (await store.read(L, (view) => found(view, text(n), { today: AT.slice(0, 10), mayKnowPatients: true })))
          .length;
        // The first one warms what is cold.
        if (n > 0) times.push(performance.now() - begun);
      }
      times.sort((a, b) => a - b);
      const [middle, p95] = [0.5, 0.95].map((part) => times[Math.floor(part * (times.length - 1))] ?? 0);
      console.log(
        `  ${what.padEnd(40)}${middle?.toFixed(0)} ms, p95 ${p95?.toFixed(0)} ms (aim ${AIM_MS}), ${items} found`,
      );
    }
  } finally {
    await store.close();
  }
}

const folder = await mkdtemp(join(tmpdir(), 'stainwright-find-'));
try {
  await measure('SQLite', { kind: 'sqlite', file: join(folder, 'find.sqlite') });
} finally {
  await rm(folder, { recursive: true, force: true });
}
const server = process.env['TEST_POSTGRES_URL'];
if (server) await onPostgres(server, (address) => measure('PostgreSQL', address));
else console.log('the palette on PostgreSQL: not measured, TEST_POSTGRES_URL is not set');
