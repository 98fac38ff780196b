import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'yaml';
import { HandClock } from '../../src/clock.js';
import { judge } from '../../src/core/gate/judge.js';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import { connect } from '../../src/store/data-source.js';
import { factsOfRuns } from '../../src/store/questions/facts-of-runs.js';
import { loadRuns } from '../../src/store/questions/runs.js';
import { Store } from '../../src/store/store.js';
import type { View } from '../../src/store/view.js';

/**
 * The gate asked again of many released runs, beside the reading of their rows alone: runs of the routine haematoxylin and
 * eosin, 20 a day on two slides each, with every step, bottles of lots that change each fortnight, and a control each day.
 */
const RUNS = Number(process.env['BENCH_RUNS'] ?? 50_000);
const PAGE = 250;
const A_DAY = 20;
const L = 'bench';
const FIRST = Date.parse('2025-01-06T08:00:00.000Z');
const DAY_MS = 86_400_000;
const ROUNDS = 3;

const text = await readFile('protocols/he-harris-regressive.yaml', 'utf8');
const protocol = parse(text) as Protocol;
const codes = [...new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []))];
const UNITS = { ms: 1, s: 1000, min: 60_000, h: 3_600_000, d: DAY_MS };

type Rows = Record<string, unknown>[];

const id = (kind: string, n: number): string => `${kind}${String(n).padStart(7, '0')}`;
const instant = (ms: number): string => new Date(ms).toISOString();

/** One fortnight's bottle of a reagent. */
const fortnight = (day: number): number => Math.floor(day / 14);
const bottle = (code: string, day: number): string => `c-${code}-${fortnight(day)}`;

function startOf(n: number): { day: number; ms: number } {
  const day = Math.floor(n / A_DAY);
  return { day, ms: FIRST + day * DAY_MS + (n % A_DAY) * 20 * 60_000 };
}

function stampAt(ms: number): string {
  const at = instant(ms);
  return JSON.stringify({
    device: 'd',
    clockSession: 'm',
    monotonicMs: ms - FIRST,
    at,
    uncertaintyMs: 20,
    offsetMs: 0,
    roundTripMs: 40,
    late: false,
  });
}

/** The events of one run: identities, tray, each step at its target, and the day's control in its first run. */
function eventsOf(n: number): Rows {
  const { day, ms } = startOf(n);
  const rows: Rows = [];
  let now = ms;
  const add = (kind: string, data: object, by = 2000): void => {
    now += by;
    rows.push({
      id: `${id('e', n)}-${String(rows.length).padStart(3, '0')}`,
      laboratory_id: L,
      seq: 4,
      run_id: id('r', n),
      kind,
      data: JSON.stringify(data),
      stamp: stampAt(now),
      person_id: 'tech',
      received_at: instant(now),
    });
  };
  for (const slide of [0, 1]) add('identity-confirmed', { subject: `${id('s', n)}-${slide}` });
  for (const code of codes) add('tray-scanned', { reagent: code, container: bottle(code, day) });
  for (const { id: step, time, end } of protocol.steps) {
    add('step-started', { step });
    add('step-ended', { step, ...(end === 'eye' && { judgedBy: 'tech' }) }, time.target * UNITS[time.unit]);
  }
  return rows;
}

class Filler {
  constructor(private readonly store: Store) {}

  /** Rows of one table, in statements that SQLite takes. */
  async add(table: string, rows: Rows): Promise<void> {
    const [first] = rows;
    if (!first) return;
    const columns = Object.keys(first);
    const most = Math.floor(30_000 / columns.length);
    for (let from = 0; from < rows.length; from += most) {
      const some = rows.slice(from, from + most);
      const marks = some.map(() => `(${columns.map(() => '?').join(',')})`).join(',');
      const values = some.flatMap((row) => columns.map((column) => row[column]));
      await this.store.connections.writer.query(`INSERT INTO ${table} (${columns.join(',')}) VALUES ${marks}`, values);
    }
  }
}

async function fill(store: Store): Promise<void> {
  const filler = new Filler(store);
  const fact = { laboratory_id: L, seq: 1 };
  const before = instant(FIRST - 30 * DAY_MS);
  const signature = JSON.stringify({
    personId: 'p',
    name: 'Invented',
    at: before,
    meaning: 'approval',
    recordHash: '00',
  });
  await filler.add('laboratory', [
    { id: L, name: 'bench', zone: 'Europe/Lisbon', demo: 0, drift_ppm: 100, created_at: before },
  ]);
  await filler.add('revision', [
    {
      id: 'v',
      ...fact,
      protocol_id: protocol.id,
      number: 1,
      title: protocol.title,
      content: JSON.stringify(protocol),
      content_hash: '00',
    },
  ]);
  await filler.add('revision_act', [
    {
      id: 'va',
      ...fact,
      revision_id: 'v',
      kind: 'approved',
      at: before,
      data: JSON.stringify({ effectiveFrom: before }),
    },
  ]);
  const catalogue = parse(await readFile('protocols/catalogue.yaml', 'utf8')) as { reagents: { code: string }[] };
  await filler.add(
    'reagent',
    catalogue.reagents.map((content) => ({
      id: `g-${content.code}`,
      ...fact,
      code: content.code,
      content: JSON.stringify(content),
    })),
  );
  await filler.add('person', [
    {
      id: 'tech',
      laboratory_id: L,
      login: 'tech',
      name: 'Invented',
      roles: '["technician"]',
      password_hash: '',
      created_at: before,
      disabled: 0,
      failures: 0,
    },
  ]);
  await filler.add('competence', [
    {
      id: 'k',
      ...fact,
      person_id: 'tech',
      protocol_id: protocol.id,
      decision: 'competent',
      at: before,
      revision: 1,
      elements: '[]',
      reason: 'x',
      signature,
    },
  ]);
  const days = Math.ceil(RUNS / A_DAY);
  const fortnights = [...Array(fortnight(days) + 1).keys()];
  const lots = fortnights.flatMap((f) => codes.map((code) => ({ code, f, lot: `l-${code}-${f}` })));
  const from = (f: number): number => FIRST + f * 14 * DAY_MS;
  await filler.add(
    'lot',
    lots.map(({ code, f, lot }) => ({
      id: lot,
      ...fact,
      reagent_code: code,
      number: lot,
      origin: 'supplied',
      source: 'x',
      received_at: instant(from(f) - 7 * DAY_MS),
      limits: JSON.stringify([{ by: 'expiry', until: instant(from(f) + 300 * DAY_MS) }]),
    })),
  );
  await filler.add(
    'lot_act',
    lots.map(({ f, lot }) => ({
      id: `a-${lot}`,
      ...fact,
      lot_id: lot,
      at: instant(from(f) - 6 * DAY_MS),
      standing: 'accepted',
      reason: 'x',
    })),
  );
  await filler.add(
    'container',
    lots.map(({ code, f, lot }) => ({ id: `c-${code}-${f}`, ...fact, lot_id: lot, label: `L-${lot}` })),
  );
  await filler.add(
    'container_act',
    lots.map(({ code, f, lot }) => ({
      id: `o-${lot}`,
      ...fact,
      container_id: `c-${code}-${f}`,
      at: instant(from(f)),
      state: 'opened',
      until: instant(from(f) + 60 * DAY_MS),
    })),
  );
  await filler.add(
    'control_result',
    [...Array(days).keys()].map((day) => ({
      id: id('q', day),
      ...fact,
      seq: 3,
      protocol_id: protocol.id,
      revision_id: 'v',
      requirement: protocol.controls[0]?.id,
      reading: 'first',
      at: instant(FIRST + day * DAY_MS - 1_800_000),
      stained_at: instant(FIRST + day * DAY_MS - 3_600_000),
      day: instant(FIRST + day * DAY_MS).slice(0, 10),
      passed: 1,
      observed: 'as expected',
      person_id: 'tech',
      lots: JSON.stringify(Object.fromEntries(codes.map((code) => [code, `l-${code}-${fortnight(day)}`]))),
    })),
  );
  for (let n = 0; n < RUNS; n += 500) {
    const some = [...Array(Math.min(500, RUNS - n)).keys()].map((k) => n + k);
    const slides = some.flatMap((run) => [0, 1].map((slide) => ({ run, slide })));
    await filler.add(
      'subject',
      slides.map(({ run, slide }) => ({
        id: `${id('s', run)}-${slide}`,
        ...fact,
        seq: 2,
        kind: 'slide',
        label: `S-${run}-${slide}`,
        description: 'section',
        irreplaceable: 0,
      })),
    );
    await filler.add(
      'run',
      some.map((run) => ({
        id: id('r', run),
        ...fact,
        seq: 2,
        revision_id: 'v',
        station: 'Line',
        purpose: 'patients',
        started_at: instant(startOf(run).ms),
        person_id: 'tech',
      })),
    );
    await filler.add(
      'run_subject',
      slides.map(({ run, slide }) => ({
        id: `${id('b', run)}-${slide}`,
        ...fact,
        seq: 2,
        run_id: id('r', run),
        subject_id: `${id('s', run)}-${slide}`,
        role: 'patient',
      })),
    );
    await filler.add('run_event', some.flatMap(eventsOf));
  }
  await store.connections.writer.query('ANALYZE');
}

const SEQ = 1000;

/** The rows that belong to these runs alone, as they stand. */
async function readRows(view: View, ids: readonly string[]): Promise<number> {
  const manager = await view.ready();
  const places = ids.map((_, n) => `$${n + 2}`).join(', ');
  let rows = 0;
  for (const statement of [
    `SELECT * FROM run WHERE laboratory_id = $1 AND id IN (${places})`,
    `SELECT * FROM run_subject WHERE laboratory_id = $1 AND run_id IN (${places})`,
    `SELECT subject.* FROM run_subject JOIN subject ON subject.id = run_subject.subject_id
      WHERE run_subject.laboratory_id = $1 AND run_subject.run_id IN (${places})`,
    `SELECT * FROM run_event WHERE laboratory_id = $1 AND run_id IN (${places})`,
  ]) {
    rows += ((await manager.query(statement, [L, ...ids])) as unknown[]).length;
  }
  return rows;
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const begin = performance.now();
  await work();
  return performance.now() - begin;
}

const folder = await mkdtemp(join(tmpdir(), 'stainwright-gate-'));
const store = new Store(await connect({ kind: 'sqlite', file: join(folder, 'gate.sqlite') }), new HandClock(FIRST));
try {
  await fill(store);
  const pages: string[][] = [];
  for (let n = 0; n < RUNS; n += PAGE)
    pages.push([...Array(Math.min(PAGE, RUNS - n)).keys()].map((k) => id('r', n + k)));
  const verdicts = new Map<string, number>();
  const read = (): Promise<void> =>
    store.read(L, async (view) => {
      for (const page of pages) await readRows(view, page);
    });
  const load = (): Promise<void> =>
    store.read(L, async (view) => {
      for (const page of pages) await loadRuns(view, page, SEQ);
    });
  const again = (): Promise<void> =>
    store.read(L, async (view) => {
      verdicts.clear();
      for (const page of pages) {
        for (const facts of await factsOfRuns(view, await loadRuns(view, page, SEQ), SEQ)) {
          for (const { points } of judge(facts).subjects) {
            for (const { verdict } of points) verdicts.set(verdict, (verdicts.get(verdict) ?? 0) + 1);
          }
        }
      }
    });
  const took: [number[], number[], number[]] = [[], [], []];
  for (let round = 0; round < ROUNDS; round += 1) {
    took[0].push(await timed(read));
    took[1].push(await timed(load));
    took[2].push(await timed(again));
  }
  const [bare, loaded, judged] = took.map((each) => each.sort((a, b) => a - b)[Math.floor(ROUNDS / 2)] as number) as [
    number,
    number,
    number,
  ];
  if (verdicts.get('clear') !== 2 * RUNS) throw new Error(`not all are clear: ${JSON.stringify([...verdicts])}`);
  console.log(`the gate asked again of ${RUNS} runs with ${eventsOf(0).length} events each, SQLite`);
  console.log(`  their bare rows                         ${bare.toFixed(0)} ms`);
  console.log(`  their rows read and parsed              ${loaded.toFixed(0)} ms`);
  console.log(`  all that the gate looks at, and judged  ${judged.toFixed(0)} ms`);
  console.log(`  speed against bare rows                 ${(bare / judged).toFixed(2)} (aim 0.30)`);
  console.log(`  speed against rows read and parsed      ${(loaded / judged).toFixed(2)}`);
} finally {
  await store.close();
  await rm(folder, { recursive: true, force: true });
}
