import { type ChildProcess, fork, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { judge } from '../../src/core/gate/judge.js';
import { bedside, readControls } from '../support/bedside.js';
import type { Furnished } from '../support/furnish.js';
import { load, type Measured, sender } from './load.js';
import { benchScriptKb, measureTimers, startRuns } from './pages.js';

const CLIENTS = 20;
const TIMERS = 60;
/** The built program, seen from where the bench is compiled to. */
const DIST = fileURLToPath(new URL('../../../../../dist', import.meta.url));
const SECONDS = Number(process.env['BENCH_SECONDS'] ?? 8);

interface Ready {
  port: number;
  headers?: Record<string, string>;
  furnished: Furnished;
  now: string;
}

const folder = await mkdtemp(join(tmpdir(), 'stainwright-bench-'));
try {
  await events();
  gate();
  await startUp();
  await pages();
} finally {
  await rm(folder, { recursive: true, force: true });
}

/** Acts written per second through the whole API, beside a bare handler that inserts one row. */
async function events(): Promise<void> {
  const bare = await within('bare-server.js', ({ port }) =>
    load(
      Array.from({ length: CLIENTS }, () => {
        const send = sender(port);
        return async () => must(await send('POST', '/events', { kind: 'step-started', data: { step: 'dye' } }), 200);
      }),
      SECONDS,
    ),
  );
  const real = await within('real-server.js', (ready) =>
    load(
      Array.from({ length: CLIENTS }, (_, n) => benchClient(ready, n)),
      SECONDS,
    ),
  );
  console.log(`events, ${CLIENTS} clients, ${SECONDS} s each`);
  console.log(`  bare Fastify handler, one sqlite3 row   ${shown(bare)}`);
  console.log(`  whole API with its record entry         ${shown(real)}`);
  console.log(`  ratio                                   ${(real.perSecond / bare.perSecond).toFixed(2)} (aim 0.5)`);
}

/** One station: run after run, each with its tray, steps and controls, as fast as they are acknowledged. */
function benchClient({ port, headers, furnished, now }: Ready, n: number): () => Promise<void> {
  const send = sender(port, headers);
  const stamp = {
    device: `station-${n}`,
    clockSession: 'bench',
    monotonicMs: 0,
    at: now,
    uncertaintyMs: 20,
    offsetMs: 0,
    roundTripMs: 40,
    late: false,
  };
  let script: { kind: string; data: object }[] = [];
  let runId = '';
  let key = 0;
  return async () => {
    const next = script.shift();
    if (next) {
      key += 1;
      stamp.monotonicMs += 1;
      must(
        await send('POST', `/api/runs/${runId}/events`, { ...next, stamp }, { 'idempotency-key': `${n}-${key}` }),
        201,
      );
      return;
    }
    const subjects = [
      { subjectId: furnished.core, role: 'patient' },
      ...Object.entries(furnished.controls).map(([control, subjectId]) => ({ subjectId, role: 'control', control })),
    ];
    const answer = await send('POST', '/api/runs', {
      revisionId: furnished.revisionId,
      station: `Station ${n}`,
      purpose: 'patients',
      subjects,
    });
    must(answer, 201);
    runId = (JSON.parse(answer.body) as { id: string }).id;
    script = [
      { kind: 'identity-confirmed', data: { subject: furnished.core } },
      ...Object.entries(furnished.containers).map(([reagent, container]) => ({
        kind: 'tray-scanned',
        data: { reagent, container },
      })),
      ...furnished.protocol.steps.flatMap(({ id: step }) => [
        { kind: 'step-started', data: { step } },
        { kind: 'step-ended', data: { step } },
      ]),
      ...Object.values(furnished.controls).map((control) => ({
        kind: 'control-read',
        data: { control, observed: 'as expected', passed: true },
      })),
      { kind: 'cleared', data: {} },
    ];
  };
}

/** Gate evaluations per second, beside parsing the same facts from JSON. */
function gate(): void {
  const facts = bedside((scribe) => {
    scribe.steps();
    readControls(scribe);
  });
  const text = JSON.stringify(facts);
  const parse = rate(() => JSON.parse(text) as unknown);
  const judged = rate(() => judge(facts));
  console.log('gate, one bedside run');
  console.log(`  JSON.parse of its facts                 ${parse.toFixed(0)} a second`);
  console.log(`  judge                                   ${judged.toFixed(0)} a second`);
  console.log(`  ratio                                   ${(judged / parse).toFixed(2)} (aim 0.3)`);
}

/** From the start of a built, migrated program to its first answer. */
async function startUp(): Promise<void> {
  const firstAnswer = async (): Promise<number> => {
    const begin = performance.now();
    return withProgram({ DATA_DIR: join(folder, 'data'), STAINWRIGHT_DEMO: 'off' }, async (url) => {
      const answered = await fetch(`${url}/health/ready`);
      if (!answered.ok) throw new Error(`the program answered ${answered.status}`);
      return performance.now() - begin;
    });
  };
  await firstAnswer();
  console.log('start of the built program to its first answer');
  console.log(`  migrated before                         ${((await firstAnswer()) / 1000).toFixed(2)} s (aim 4 s)`);
}

/** The bench page: what it loads, and whether its timers keep up with the screen. */
async function pages(): Promise<void> {
  const timed = await withProgram({ DATA_DIR: join(folder, 'demo'), STAINWRIGHT_DEMO: 'on' }, async (url) => {
    await startRuns(url, TIMERS);
    return measureTimers(url, SECONDS);
  });
  console.log('bench page');
  console.log(
    `  compressed script                       ${benchScriptKb(join(DIST, 'web')).toFixed(0)} kB (at most 250)`,
  );
  const frames = timed
    ? `${timed.dropped} of ${timed.frames} dropped, slowest ${timed.slowestMs.toFixed(0)} ms (aim none)`
    : 'no Chromium here; set CHROMIUM_PATH';
  console.log(`  frames with ${TIMERS} timers                   ${frames}`);
}

/** Runs the built program as a process of its own while `work` asks it. */
async function withProgram<T>(settings: Record<string, string>, work: (url: string) => Promise<T>): Promise<T> {
  const env = { ...process.env, PORT: '0', LOG_LEVEL: 'silent', ...settings };
  const child = spawn(process.execPath, [join(DIST, 'main.js')], { env, stdio: ['ignore', 'pipe', 'inherit'] });
  try {
    const [said] = (await once(child.stdout, 'data')) as [Buffer];
    return await work(/listens at (\S+)/.exec(said.toString())?.[1] ?? '');
  } finally {
    child.kill();
    await once(child, 'exit');
  }
}

async function within(script: string, measure: (ready: Ready) => Promise<Measured>): Promise<Measured> {
  const child: ChildProcess = fork(fileURLToPath(new URL(script, import.meta.url)), [join(folder, `${script}.sqlite`)]);
  const [ready] = (await once(child, 'message')) as [Ready];
  try {
    return await measure(ready);
  } finally {
    child.kill();
    await once(child, 'exit');
  }
}

function must({ status, body }: { status: number; body: string }, expected: number): void {
  if (status !== expected) throw new Error(`answered ${status}: ${body.slice(0, 300)}`);
}

function rate(work: () => unknown, ms = 1500): number {
  const turns = (limit: number): number => {
    let count = 0;
    const until = performance.now() + limit;
    while (performance.now() < until) {
      work();
      count += 1;
    }
    return count;
  };
  turns(300);
  return (turns(ms) / ms) * 1000;
}

function shown({ perSecond, p50Ms, p99Ms }: Measured): string {
  return `${perSecond.toFixed(0)} a second, median ${p50Ms.toFixed(1)} ms, p99 ${p99Ms.toFixed(1)} ms`;
}
