import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { symlink } from 'node:fs/promises';
import { createServer, request, type Server } from 'node:http';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, expect, it } from '@jest/globals';
import type { BrowserContext } from 'playwright-core';
import { ROOT } from '../cli/stainwright.js';
import { LABORATORY } from '../support/app.js';
import { allSent, eventsOfRun, openBench, press, standRun } from '../support/bench-page.js';
import { untilIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, database, onPages, restart, test } from '../support/stage.js';
import { until } from '../support/until.js';

describeWith('chromium', 'The bench and its server', (chromiumPath) => {
  onPages(chromiumPath, { each: true, realClock: true });

  let context: BrowserContext;
  let runId: string;

  beforeEach(async () => {
    ({ runId } = await standRun(test));
    context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  });
  afterEach(async () => {
    await context.close();
  });

  const told = async (): Promise<string[]> =>
    (await eventsOfRun(test, runId)).map(({ kind, data }) => `${kind} ${'step' in data ? data.step : ''}`.trim());

  /** The program as it is installed, on the same file and port. */
  async function startProgram(folder: string, port: string): Promise<ChildProcess> {
    const env = { DATA_DIR: folder, PORT: port, HOST: '127.0.0.1', LABORATORY_ID: LABORATORY, LOG_LEVEL: 'silent' };
    const program = spawn(process.execPath, ['dist/main.js'], {
      cwd: ROOT,
      env: { PATH: process.env['PATH'], ...env },
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let said = '';
    program.stdout.setEncoding('utf8').on('data', (text: string) => (said += text));
    await until('the program listens', () => said.includes('listens at') || program.exitCode !== null);
    if (program.exitCode !== null) throw new Error(`the program did not start: ${said}`);
    return program;
  }

  async function kill(program: ChildProcess): Promise<void> {
    if (program.signalCode !== null || program.exitCode !== null) return;
    program.kill('SIGKILL');
    await once(program, 'exit');
  }

  it('lets the bench go on when it is killed in mid-step, with an entry written and not yet confirmed', async () => {
    const { port } = new URL(test.url);
    await test.stop();
    const { address } = database;
    const file = address.kind === 'sqlite' ? address.file : '';
    await symlink(file, join(dirname(file), 'stainwright.sqlite'));
    let program = await startProgram(dirname(file), port);
    try {
      const { page, errors } = await openBench(context, test.url);
      await press(page, 'Start');
      await allSent(page);
      await page.route(
        '**/events',
        async (route) => {
          expect((await route.fetch()).status()).toBe(201);
          await kill(program);
          await route.abort();
        },
        { times: 1 },
      );
      await press(page, 'End');
      await page.getByText('1 entry is on this device only').waitFor();
      await press(page, 'Start');
      await page.getByText('2 entries are on this device only').waitFor();
      program = await startProgram(dirname(file), port);
      await allSent(page);
      expect(errors).toEqual([]);
    } finally {
      await kill(program);
      await restart({ realClock: true });
    }
    expect(await told()).toEqual(['step-started receive', 'step-ended receive', 'step-started rinse-blood']);
    const stamps = (await eventsOfRun(test, runId)).map(({ stamp }) => stamp);
    expect(new Set(stamps.map(({ clockSession }) => clockSession)).size).toBe(1);
    const [begun, ended] = stamps;
    const steadyMs = (ended?.monotonicMs ?? 0) - (begun?.monotonicMs ?? 0);
    const tookMs = Date.parse(ended?.at ?? '') - Date.parse(begun?.at ?? '');
    // The same time by the steady clock as by the server's, but for what both contacts left open.
    expect(Math.abs(tookMs - steadyMs)).toBeLessThanOrEqual(
      (begun?.uncertaintyMs ?? Infinity) + (ended?.uncertaintyMs ?? Infinity),
    );
    expect(steadyMs).toBeGreaterThan(500);
  });

  /** Hands everything through, and once `newer` is told gives out the service worker of another build. */
  async function before(url: string): Promise<{ url: string; newer: () => void; server: Server }> {
    let addition = '';
    const server = createServer((asked, answer) => {
      const headers = { ...asked.headers, 'accept-encoding': 'identity' };
      const passed = request(new URL(asked.url ?? '', url), { method: asked.method, headers }, (given) => {
        if (asked.url !== '/sw.js') {
          answer.writeHead(given.statusCode ?? 502, given.headers);
          given.pipe(answer);
          return;
        }
        const { 'content-length': _, etag: __, 'last-modified': ___, ...rest } = given.headers;
        answer.writeHead(200, rest);
        given.pipe(answer, { end: false }).on('error', () => answer.destroy());
        given.on('end', () => answer.end(addition));
      });
      passed.on('error', () => answer.destroy());
      answer.on('close', () => passed.destroy());
      asked.pipe(passed);
    }).listen(0, '127.0.0.1');
    await once(server, 'listening');
    const address = server.address();
    const port = typeof address === 'object' && address ? address.port : 0;
    return { url: `http://127.0.0.1:${port}`, newer: () => (addition = '\n// another build'), server };
  }

  it('gives out a new build while a step runs, which is taken only when a person says so', async () => {
    const { url, newer, server } = await before(test.url);
    try {
      const { page, errors } = await openBench(context, url);
      await press(page, 'Start');
      await untilIn(page, 'navigator.serviceWorker.controller !== null');
      newer();
      await page.evaluate('navigator.serviceWorker.getRegistration().then((known) => known.update()).then(() => null)');
      const take = page.getByRole('button', { name: 'Take it now' });
      await take.waitFor();
      await press(page, 'End');
      await press(page, 'Start');
      await allSent(page);
      const again = page.waitForEvent('load');
      await take.click();
      await again;
      await press(page, 'End');
      await allSent(page);
      await take.waitFor({ state: 'hidden' });
      expect(await told()).toEqual([
        'step-started receive',
        'step-ended receive',
        'step-started rinse-blood',
        'step-ended rinse-blood',
      ]);
      expect(errors).toEqual([]);
    } finally {
      server.closeAllConnections();
      server.close();
    }
  });

  it('tells a second station of an entry within a second of its arrival', async () => {
    const { page } = await openBench(context, test.url);
    const other = await browser.newContext({ viewport: { width: 1280, height: 900 } });
    try {
      const second = await openBench(other, test.url, 'corvin');
      const shown = second.page.getByRole('region', { name: 'Next' }).getByRole('button', { name: 'End', exact: true });
      // On a busy machine a question of the page takes longer as well.
      const askedMs = await second.page.evaluate<number>(
        `(async () => {
          const from = performance.now();
          for (let n = 0; n < 10; n += 1) await (await fetch('/api/bench')).text();
          return performance.now() - from;
        })()`,
      );
      const arrived = page.waitForResponse((answer) => answer.url().endsWith('/events')).then(() => Date.now());
      const seen = shown.waitFor().then(() => Date.now());
      await page.getByRole('region', { name: 'Next' }).getByRole('button', { name: 'Start', exact: true }).click();
      expect((await seen) - (await arrived)).toBeLessThan(1_000 + askedMs);
    } finally {
      await other.close();
    }
  });
});
