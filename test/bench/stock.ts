import 'reflect-metadata';
import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { DataSource } from 'typeorm';
import { connect, disconnect } from '../../src/store/data-source.js';
import type { ReorderDto } from '../../src/contract/outlook.dto.js';
import { LABORATORY, START } from '../support/app.js';

const REAGENTS = Number(process.env['BENCH_REAGENTS'] ?? 2000);
/** Of each reagent: bottles, and movements of each. */
const BOTTLES = 50;
const MOVEMENTS = 20;
const DAYS = 1095;

const folder = await mkdtemp(join(tmpdir(), 'stainwright-bench-'));
const file = join(folder, 'stock.sqlite');
try {
  await (await serve('new')).stop();
  await fill();
  await reorder();
} finally {
  await rm(folder, { recursive: true, force: true });
}

interface Server {
  url: string;
  headers: Record<string, string>;
  child: ChildProcess;
  stop: () => Promise<void>;
}

/** The program in a process of its own, so that its memory is its own; the first one makes the schema and the laboratory. */
async function serve(database: 'new' | 'filled'): Promise<Server> {
  const child = fork(fileURLToPath(new URL('stock-server.js', import.meta.url)), [file, database]);
  const [ready] = (await once(child, 'message')) as [{ url: string; headers: Record<string, string> }];
  return {
    ...ready,
    child,
    stop: async () => {
      child.kill();
      await once(child, 'exit');
    },
  };
}

/** Three years of stock by bulk SQL: bottles received one after another, used up by nineteen takings each. */
async function fill(): Promise<void> {
  const connections = await connect({ kind: 'sqlite', file });
  const run = (sql: string): Promise<unknown> => connections.writer.query(sql);
  const numbers = (count: number): string =>
    `WITH RECURSIVE n (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < ${count - 1})`;
  const fact = `'${LABORATORY}', 1`;
  const reagent = (i: string): string => `'reagent-' || (${i})`;
  await run('PRAGMA synchronous = OFF');
  await run('PRAGMA cache_size = -500000');
  // Indexes are dear to keep in a random order, and cheap to make at the end.
  const indexes = (await run(
    `SELECT name, sql FROM sqlite_master WHERE type = 'index' AND tbl_name = 'movement' AND sql IS NOT NULL`,
  )) as { name: string; sql: string }[];
  await run('BEGIN');
  for (const { name } of indexes) await run(`DROP INDEX "${name}"`);
  await run(`DELETE FROM reagent`);
  await run(`INSERT INTO reagent (id, laboratory_id, seq, code, content) ${numbers(REAGENTS)}
    SELECT 'r' || i, ${fact}, ${reagent('i')}, json_object('code', ${reagent('i')}, 'name', 'Reagent ' || i, 'kind', 'dye') FROM n`);
  await run(`INSERT INTO supplier (id, laboratory_id, seq, code, name, approved, at, person_id)
    VALUES ('s', ${fact}, 'tidewater', 'Tidewater Reagents (invented)', 1, '${START}', 'p')`);
  await run(`INSERT INTO product (id, laboratory_id, seq, code, supplier_code, item_number, name, reagent_code, pack_containers,
      container_micro, price_cents, minimum_packs, lead_days, lead_sd_days, shelf_life_days, offered, at, person_id)
    ${numbers(REAGENTS)} SELECT 'p' || i, ${fact}, 'product-' || i, 'tidewater', 'TW-' || i, 'Reagent ' || i, ${reagent('i')}, 2,
      60000000, 4500, 1, 9, 2, 365, 1, '${START}', 'p' FROM n`);
  await run(`INSERT INTO lot (id, laboratory_id, seq, reagent_code, number, origin, source, received_at, limits)
    ${numbers(REAGENTS * BOTTLES)} SELECT 'l' || i, ${fact}, ${reagent(`i / ${BOTTLES}`)}, 'L' || i, 'supplied', 'Tidewater', '${START}',
      '[{"by":"expiry","until":"2027-0' || (1 + i % 9) || '-01T01:00:00.000Z"}]' FROM n`);
  await run(`INSERT INTO lot_act (id, laboratory_id, seq, lot_id, at, standing, reason)
    ${numbers(REAGENTS * BOTTLES)} SELECT 'a' || i, ${fact}, 'l' || i, '${START}', 'accepted', 'checked' FROM n`);
  await run(`INSERT INTO container (id, laboratory_id, seq, lot_id, label)
    ${numbers(REAGENTS * BOTTLES)} SELECT 'c' || i, ${fact}, 'l' || i, 'SW1:C:' || i FROM n`);
  // All but the last three bottles of each are empty.
  await run(`INSERT INTO container_act (id, laboratory_id, seq, container_id, at, state)
    ${numbers(REAGENTS * BOTTLES)} SELECT 'e' || i, ${fact}, 'c' || i, '${START}', 'emptied' FROM n WHERE i % ${BOTTLES} < ${BOTTLES - 3}`);
  const each = BOTTLES * MOVEMENTS;
  // In the order of time, as a ledger grows.
  await run(`INSERT INTO movement (id, laboratory_id, seq, kind, container_id, reagent_code, micro, at, day)
    ${numbers(REAGENTS * each)} SELECT 'm' || i, ${fact}, CASE WHEN (i / ${REAGENTS}) % ${MOVEMENTS} = 0 THEN 'received' ELSE 'used' END,
      'c' || ((i % ${REAGENTS}) * ${BOTTLES} + i / ${REAGENTS} / ${MOVEMENTS}), ${reagent(`i % ${REAGENTS}`)},
      CASE WHEN (i / ${REAGENTS}) % ${MOVEMENTS} = 0 THEN 60000000 ELSE -1000000 * (1 + i % 5) END, '${START}',
      date('${START}', ((i / ${REAGENTS}) * ${DAYS} / ${each} - ${DAYS}) || ' days') FROM n`);
  for (const { sql } of indexes) await run(sql);
  await run('COMMIT');
  await run('PRAGMA wal_checkpoint(TRUNCATE)');
  await disconnect(connections);
}

/** Proposals for every reagent through the API, beside the sums of the same rows by reagent and day. */
async function reorder(): Promise<void> {
  const connections = await connect({ kind: 'sqlite', file });
  const plain = await fastest(() => aggregate(connections.reader));
  const rows = await aggregate(connections.reader);
  await disconnect(connections);
  const server = await serve('filled');
  let proposals = 0;
  const real = await fastest(async () => {
    const answer = await fetch(`${server.url}/api/reorder`, { headers: server.headers });
    if (!answer.ok) throw new Error(`reorder answered ${answer.status}: ${await answer.text()}`);
    const { suppliers } = (await answer.json()) as ReorderDto;
    proposals = suppliers.reduce((sum, each) => sum + each.proposals.length, 0);
  });
  server.child.send('memory');
  const [{ peakMb }] = (await once(server.child, 'message')) as [{ peakMb: number }];
  await server.stop();
  console.log(`forecast and reorder, ${REAGENTS} reagents, ${REAGENTS * BOTTLES * MOVEMENTS} movements in three years`);
  console.log(`  plain SQL sums by reagent and day       ${(plain / 1000).toFixed(2)} s, ${rows} sums`);
  console.log(`  GET /api/reorder                        ${(real / 1000).toFixed(2)} s, ${proposals} proposals`);
  console.log(`  ratio                                   ${(real / plain).toFixed(2)} (at most 3)`);
  console.log(`  peak memory of the whole program        ${peakMb.toFixed(0)} MB (at most 400)`);
}

/** Summed up and counted in the database, so that no row has to be handed over. */
async function aggregate({ manager }: Pick<DataSource, 'manager'>): Promise<number> {
  const [row] = (await manager.query(
    `SELECT COUNT(*) AS count, SUM(micro) AS sum FROM (SELECT reagent_code, day, SUM(micro) AS micro FROM movement
      WHERE laboratory_id = $1 GROUP BY reagent_code, day) AS sums`,
    [LABORATORY],
  )) as { count: number }[];
  return row?.count ?? 0;
}

async function fastest(work: () => Promise<unknown>): Promise<number> {
  let best = Number.POSITIVE_INFINITY;
  for (let turn = 0; turn < 3; turn += 1) {
    const begin = performance.now();
    await work();
    best = Math.min(best, performance.now() - begin);
  }
  return best;
}
