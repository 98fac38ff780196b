import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { HandClock } from '../../src/clock.js';
import { RULES, usualWeights } from '../../src/core/controls/rules.js';
import { connect, type DatabaseAddress } from '../../src/store/data-source.js';
import { evaluateAll, seriesGroup } from '../../src/store/questions/control-series.js';
import { Store } from '../../src/store/store.js';
import type { View } from '../../src/store/view.js';

/**
 * A million values of one control judged anew under all rules, beside a plain loop that reads them from the database by
 * the same pages and sums them. The aim is no more than 3 times that loop.
 */
const VALUES = Number(process.env['BENCH_VALUES'] ?? 1_000_000);
const ROUNDS = 3;
const PAGE = 20_000;
const L = 'bench';
const AT = '2020-01-01T00:00:00.000Z';

function rowsOf(kind: DatabaseAddress['kind']): string[] {
  const sqlite = kind === 'sqlite';
  const numbers = sqlite
    ? `(WITH RECURSIVE many (n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM many WHERE n < ${VALUES}) SELECT n FROM many)`
    : `(SELECT n FROM generate_series(1, ${VALUES}) AS many (n))`;
  const id = sqlite ? `'v' || substr('0000000' || n, -7)` : `'v' || lpad(n::text, 7, '0')`;
  const at = sqlite
    ? `strftime('%Y-%m-%dT%H:%M:%fZ', '2020-01-01', '+' || (n * 2) || ' minutes')`
    : `to_char(timestamp '2020-01-01' + n * interval '2 minutes', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;
  const points = JSON.stringify({ seriesId: 's', from: AT, to: AT, upToSeq: 1, excluded: [] });
  const signature = JSON.stringify({ personId: 'p', name: 'Invented', at: AT, meaning: 'approval', recordHash: '00' });
  const rules = JSON.stringify(usualWeights(RULES));
  return [
    `INSERT INTO control_series (id, laboratory_id, seq, code, level, title, unit, rules)
      VALUES ('s', '${L}', 1, 's', 'control', 'Bench', '{ratio}', '${rules}')`,
    `INSERT INTO control_limits (id, laboratory_id, seq, series_id, source, since, mean, sd, n, provisional, points, reason, at, signature)
      VALUES ('l', '${L}', 1, 's', 'first points', '${AT}', 10, 1, 20, ${sqlite ? 0 : 'false'}, '${points}', 'bench', '${AT}', '${signature}')`,
    // Values that wander over the limits: some batches break each rule.
    `INSERT INTO control_value (id, laboratory_id, seq, series_id, value, at, batch)
      SELECT ${id}, '${L}', n, 's', 10 + ((n * 7919) % 1000) / 250.0 - 2.0 + ((n / 5000) % 3 - 1) * 0.9, ${at}, n FROM ${numbers} AS them`,
  ];
}

async function plainLoop(view: View): Promise<number> {
  const manager = await view.ready();
  let sum = 0;
  let last = { at: '', id: '' };
  for (;;) {
    const rows = (await manager.query(
      `SELECT id, value, at FROM control_value WHERE series_id = $1 AND (at, id) > ($2, $3) ORDER BY at, id LIMIT ${PAGE}`,
      ['s', last.at, last.id],
    )) as { id: string; value: number; at: string }[];
    for (const { value } of rows) sum += value;
    const end = rows.at(-1);
    if (!end || rows.length < PAGE) return sum;
    last = end;
  }
}

async function measure(name: string, address: DatabaseAddress): Promise<void> {
  const connections = await connect(address);
  for (const statement of rowsOf(address.kind)) await connections.writer.query(statement);
  if (address.kind === 'postgres') await connections.writer.query('ANALYZE');
  const store = new Store(connections, new HandClock(Date.parse(AT)));
  const [plain, judged]: [number[], number[]] = [[], []];
  let hits = 0;
  let seen = 0;
  for (let round = 0; round < ROUNDS; round++) {
    await store.read(L, async (view) => {
      const begun = performance.now();
      await plainLoop(view);
      const middle = performance.now();
      hits = 0;
      seen = 0;
      await evaluateAll(view, await seriesGroup(view, 's'), (points, said) => {
        seen += points.length;
        hits += said?.fired.length ?? 0;
      });
      plain.push(middle - begun);
      judged.push(performance.now() - middle);
    });
  }
  if (seen !== VALUES || hits === 0) throw new Error(`${seen} values were judged with ${hits} hits`);
  const [loop, all] = [Math.min(...plain), Math.min(...judged)];
  console.log(`${name}: ${VALUES} values, ${RULES.length} rules, best of ${ROUNDS}`);
  console.log(`  plain loop that reads and sums   ${loop.toFixed(0)} ms`);
  console.log(`  judged anew under all rules      ${all.toFixed(0)} ms, ${hits} hits`);
  console.log(`  ratio                            ${(all / loop).toFixed(2)} (aim 3)`);
  await store.close();
}

const folder = await mkdtemp(join(tmpdir(), 'stainwright-controls-'));
try {
  await measure('SQLite', { kind: 'sqlite', file: join(folder, 'bench.sqlite') });
} finally {
  await rm(folder, { recursive: true, force: true });
}
const base = process.env['TEST_POSTGRES_URL'];
if (base !== undefined) {
  const admin = new pg.Client({ connectionString: base });
  await admin.connect();
  const name = `bench_controls_${process.pid}`;
  await admin.query(`CREATE DATABASE ${name}`);
  const url = new URL(base);
  url.pathname = `/${name}`;
  try {
    await measure('PostgreSQL', { kind: 'postgres', url: url.href });
  } finally {
    await admin.query(`DROP DATABASE ${name} WITH (FORCE)`);
    await admin.end();
  }
}
