import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, CDPSession, Page } from 'playwright-core';
import { PASSWORD } from '../../src/demo/laboratory.js';
import { openBrowser, signIn } from '../support/browser.js';
import { startRuns } from './pages.js';

/** As slow as a cheap tablet beside a desk computer. */
const SLOWER = 4;
const TIMERS = 60;
const SECONDS = 10;
const ROUNDS = 5;
const PAGES = { bench: '/', release: '/release', stock: '/stock' };

/** Said as text, since it runs in the page: the largest contentful paint so far, in ms from the navigation. */
const LARGEST_PAINT = `new Promise((resolve) => {
  new PerformanceObserver((list) => resolve(list.getEntries().at(-1).startTime)).observe({
    type: 'largest-contentful-paint',
    buffered: true,
  });
})`;

/** From then on the page notes how long each input takes to the paint that shows its effect, in ms (Event Timing). */
const WATCH_INPUT = `(() => {
  globalThis.inputs = [];
  const note = (list) => globalThis.inputs.push(...list.getEntries().map(({ duration }) => duration));
  new PerformanceObserver(note).observe({ type: 'event', durationThreshold: 16 });
})()`;

const middle = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

/** Largest contentful paint of a page on a slowed processor, the middle of some loads, in ms. */
async function paint(page: Page, cdp: CDPSession, address: string): Promise<number> {
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
  const times: number[] = [];
  for (let n = 0; n < ROUNDS; n += 1) {
    await page.goto(address);
    await page.waitForTimeout(2_500);
    times.push(await page.evaluate<number>(LARGEST_PAINT));
  }
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: 1 });
  return middle(times);
}

/** From a press on a line of the bench to the paint of its run, in ms. */
async function input(page: Page, url: string): Promise<number> {
  await page.goto(url);
  await page.locator('.run-line').nth(2).waitFor();
  await page.evaluate(WATCH_INPUT);
  for (let n = 0; n < ROUNDS; n += 1) {
    await page
      .locator('.run-line')
      .nth(n % 3)
      .click();
    await page.waitForTimeout(300);
  }
  const times = await page.evaluate<number[]>('globalThis.inputs');
  if (times.length === 0) throw new Error('the browser noted no input, so that nothing was measured');
  return Math.max(...times);
}

/** What part of one core the page's own thread takes while timers run. */
async function share(page: Page, cdp: CDPSession, url: string): Promise<number> {
  await page.goto(url);
  await page.waitForTimeout(3_000);
  await cdp.send('Performance.enable');
  const busy = async (): Promise<number> =>
    (await cdp.send('Performance.getMetrics')).metrics.find(({ name }) => name === 'TaskDuration')?.value ?? 0;
  const before = await busy();
  await page.waitForTimeout(SECONDS * 1000);
  return (await busy()) - before;
}

async function measure(browser: Browser, url: string): Promise<void> {
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
  const cdp = await page.context().newCDPSession(page);
  await signIn(page, url, 'marl', PASSWORD);
  console.log(`largest contentful paint, processor slowed ${SLOWER} times, middle of ${ROUNDS} (aim 1000 ms)`);
  for (const [name, path] of Object.entries(PAGES)) {
    console.log(`  ${name.padEnd(38)}${(await paint(page, cdp, url + path)).toFixed(0)} ms`);
  }
  console.log(`press on a run to its paint, the longest    ${await input(page, url)} ms (aim 100 ms)`);
  await startRuns(url, TIMERS);
  const part = ((await share(page, cdp, url)) / SECONDS) * 100;
  console.log(`${TIMERS} timers, of one core                     ${part.toFixed(1)} % (aim 10 %)`);
}

const folder = await mkdtemp(join(tmpdir(), 'stainwright-pages-'));
const env = { ...process.env, PORT: '0', LOG_LEVEL: 'silent', STAINWRIGHT_DEMO: 'on', DATA_DIR: folder };
const program = spawn(process.execPath, [join(process.cwd(), 'dist/main.js')], {
  env,
  stdio: ['ignore', 'pipe', 'inherit'],
});
const browser = await openBrowser(process.env['CHROMIUM_PATH'] ?? '/usr/bin/chromium');
try {
  const [said] = (await once(program.stdout, 'data')) as [Buffer];
  await measure(browser, /listens at (\S+)/.exec(said.toString())?.[1] ?? '');
} finally {
  await browser.close();
  program.kill();
  await once(program, 'exit');
  await rm(folder, { recursive: true, force: true });
}
