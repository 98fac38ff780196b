import { afterAll, afterEach, beforeAll, beforeEach, expect, it } from '@jest/globals';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import type { RunEvent } from '../../src/core/run/events.js';
import { makeLabel } from '../../src/core/gs1/label.js';
import { instantOf } from '../../src/core/time/instant.js';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { RunEventRow } from '../../src/store/rows/runs.entity.js';
import { type Client, LABORATORY, PASSWORD, startApp, type TestApp } from '../support/app.js';
import { openBrowser, openPage, scan, signIn } from '../support/browser.js';
import { freshSqlite, type FreshDatabase } from '../support/databases.js';
import { assessEverybody, furnish, type Furnished } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';

const BOUNCE_MS = 800;

describeWith('chromium', 'The bench without a network', (chromiumPath) => {
  let browser: Browser;
  let context: BrowserContext;
  let database: FreshDatabase;
  let test: TestApp;
  let furnished: Furnished;
  let tansy: Client;
  let runId: string;

  beforeAll(async () => {
    browser = await openBrowser(chromiumPath);
  });
  afterAll(() => browser.close());

  beforeEach(async () => {
    database = await freshSqlite();
    test = await startApp(database, { realClock: true });
    furnished = await furnish(test, { now: new Date().toISOString() });
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    await test.createPerson('corvin', ['technician'], 'Corvin Lanternquay');
    await assessEverybody(test, furnished.protocol.id);
    tansy = await test.signIn('tansy');
    const subjects = [
      { subjectId: furnished.core, role: 'patient' },
      ...Object.entries(furnished.controls).map(([control, subjectId]) => ({ subjectId, role: 'control', control })),
    ];
    const started = await tansy.post<{ id: string }>('/api/runs', {
      revisionId: furnished.revisionId,
      station: 'Ultrasound 1',
      purpose: 'patients',
      subjects,
    });
    runId = started.body.id;
    context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  });
  afterEach(async () => {
    await context.close();
    await test.stop();
    await database.drop();
  });

  const events = async (): Promise<RunEvent[]> =>
    (await test.store.read(LABORATORY, (view) => view.all(RunEventRow, { runId }, { order: { seq: 'ASC' } }))) as never;
  const told = async (): Promise<string[]> =>
    (await events()).map(({ kind, data }) => `${kind} ${'step' in data ? data.step : ''}`.trim());

  /** The bench once it is kept on the device, so that it opens without a network. */
  async function openBench(login = 'tansy'): Promise<{ page: Page; errors: string[] }> {
    const opened = await openPage(context);
    await signIn(opened.page, test.url, login, PASSWORD);
    await opened.page.evaluate('navigator.serviceWorker.ready.then(() => null)');
    return opened;
  }
  const press = async (page: Page, name: 'Start' | 'End'): Promise<void> => {
    await page.getByRole('region', { name: 'Next' }).getByRole('button', { name, exact: true }).click();
    const sheet = page.getByRole('button', { name: 'End it all the same' });
    // What is too short is asked about; these steps need not wait for their time.
    if (name === 'End' && (await sheet.isVisible())) await sheet.click();
    await page.waitForTimeout(BOUNCE_MS);
  };
  const rulesOf = async (): Promise<string[] | undefined> =>
    (await tansy.get<JudgementDto>(`/api/runs/${runId}/judgement`)).body.subjects[0]?.points[0]?.findings.map(
      ({ rule }) => rule,
    );
  const sent = (page: Page): Promise<void> => page.getByText(/on this device only/).waitFor({ state: 'hidden' });

  it('goes on through a dropped network and a reloaded tab, and sends everything once and in order', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await context.setOffline(true);
    await press(page, 'End');
    await press(page, 'Start');
    await page.getByText('2 entries are on this device only').waitFor();
    expect(await told()).toEqual(['step-started receive']);

    await page.reload();
    await page.getByText('2 entries are on this device only').waitFor();
    await page.getByText(/Not connected since/).waitFor();
    await press(page, 'End');
    await page.getByText('3 entries are on this device only').waitFor();
    const second = await openPage(context);
    await second.page.goto(test.url);
    await second.page.getByText('3 entries are on this device only').waitFor();

    await context.setOffline(false);
    await sent(page);
    await sent(second.page);
    expect(await told()).toEqual([
      'step-started receive',
      'step-ended receive',
      'step-started rinse-blood',
      'step-ended rinse-blood',
    ]);
    const [begun, ended, next, last] = await events();
    // One clock from press to press; after the reload another one, whose error nothing bounded without a contact.
    expect(ended?.stamp.clockSession).toBe(begun?.stamp.clockSession);
    expect(next?.stamp.clockSession).toBe(begun?.stamp.clockSession);
    expect(last?.stamp.clockSession).not.toBe(begun?.stamp.clockSession);
    expect(last?.stamp.uncertaintyMs).toBeNull();
    expect((await events()).map(({ stamp }) => stamp.unsent)).toEqual([0, 2, 1, 0]);
    expect(ended?.stamp.uncertaintyMs).toBeLessThan(1_000);
    expect([...errors, ...second.errors]).toEqual([]);
  }, 60_000);

  it('goes on while the server is stopped and started again, a step that a scan started included', async () => {
    const { page, errors } = await openBench();
    const core = makeLabel('S', 'QY-101');
    await scan(page, core);
    await page.waitForURL(/run=/);
    await scan(page, core);
    await page.getByRole('region', { name: 'Next' }).getByRole('button', { name: 'End', exact: true }).waitFor();
    await page.waitForTimeout(BOUNCE_MS);
    const port = Number(new URL(test.url).port);
    await test.stop();
    await press(page, 'End');
    await page.getByText('1 entry is on this device only').waitFor();
    test = await startApp(database, { realClock: true, laboratory: false, config: { port } });
    await sent(page);
    expect(await told()).toEqual(['step-started receive', 'step-ended receive']);
    expect(errors).toEqual([]);
  }, 60_000);

  it('keeps times right when the device’s clock is set in the middle of a step', async () => {
    const { page } = await openBench();
    await press(page, 'Start');
    await page.evaluate(() => {
      const real = Date.now.bind(Date);
      Date.now = () => real() + 3_600_000;
    });
    await page.getByText('Clock not checked').waitFor();
    await page.getByText('Clock not checked').waitFor({ state: 'hidden' });
    await press(page, 'End');
    await sent(page);
    const [begun, ended] = await events();
    expect(ended?.stamp.clockSession).not.toBe(begun?.stamp.clockSession);
    const tookMs = Date.parse(ended?.stamp.at ?? '') - Date.parse(begun?.stamp.at ?? '');
    expect(tookMs).toBeGreaterThan(0);
    expect(tookMs).toBeLessThan(20_000);
  }, 60_000);

  it('keeps what the server refuses, says why, and takes it as a note', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await context.setOffline(true);
    await press(page, 'End');
    // Meanwhile another station ends the same step.
    const stamp = { at: instantOf(Date.now()), uncertaintyMs: 5, device: 'bench 2', monotonicMs: null };
    const full = { ...stamp, offsetMs: 0, roundTripMs: 4, late: false };
    const corvin = await test.signIn('corvin');
    await corvin.post(`/api/runs/${runId}/events`, { kind: 'step-ended', data: { step: 'receive' }, stamp: full });
    await context.setOffline(false);

    const panel = page.getByRole('region', { name: 'Not taken by the server' });
    await panel.getByText(/is not running; start it first/).waitFor();
    await page.reload();
    await panel.getByText(/is not running; start it first/).waitFor();
    await panel.getByRole('button', { name: 'Keep it as a note' }).click();
    await panel.waitFor({ state: 'hidden' });
    await sent(page);
    const [, , note] = await events();
    expect(note).toMatchObject({
      kind: 'noted',
      data: { text: expect.stringMatching(/^Entered at the bench and not taken: receive ended, .*not running/) },
    });
    expect(errors).toEqual([]);
  }, 60_000);

  it('takes what it refused once it has the right time, and keeps the old one in a note', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await context.setOffline(true);
    await press(page, 'End');
    await page.waitForTimeout(1_500);
    // Meanwhile another station ends the step and does it again.
    const corvin = await test.signIn('corvin');
    for (const [kind, data] of [
      ['step-ended', { step: 'receive' }],
      ['step-started', { step: 'receive', again: true }],
    ] as const) {
      const at = { at: instantOf(Date.now()), uncertaintyMs: 5, device: 'bench 2', monotonicMs: null };
      const stamp = { ...at, offsetMs: 0, roundTripMs: 4, late: false };
      expect((await corvin.post(`/api/runs/${runId}/events`, { kind, data, stamp })).status).toBe(201);
    }
    await context.setOffline(false);

    const panel = page.getByRole('region', { name: 'Not taken by the server' });
    await panel.getByText(/its end cannot lie before that/).waitFor();
    await panel.getByRole('button', { name: 'Give it the right time' }).click();
    const sheet = page.getByRole('dialog');
    await sheet
      .getByLabel('Date and time')
      .fill(
        await page.evaluate('new Date(Date.now() - new Date().getTimezoneOffset() * 60000).toISOString().slice(0, 19)'),
      );
    await sheet.getByLabel('How sure is that, in seconds either way?').fill('2');
    await sheet.getByRole('textbox', { name: 'Why' }).fill('the second time was ended, by my watch');
    await sheet.getByRole('button', { name: 'Correct it' }).click();
    await panel.waitFor({ state: 'hidden' });
    await sent(page);
    const [ended, note] = (await events()).slice(-2);
    expect(ended).toMatchObject({ kind: 'step-ended', stamp: { late: true, uncertaintyMs: 2000, monotonicMs: null } });
    expect(note).toMatchObject({
      kind: 'noted',
      data: { text: expect.stringMatching(/^Entered at the bench: receive ended, .* by my watch$/) },
    });
    expect(errors).toEqual([]);
  }, 60_000);

  /** Another station does steps of the run. */
  async function doElsewhere(steps: readonly string[], kinds: readonly string[]): Promise<void> {
    const corvin = await test.signIn('corvin');
    for (const step of steps) {
      for (const kind of kinds) {
        const at = { at: instantOf(Date.now()), uncertaintyMs: 5, device: 'bench 2', monotonicMs: null };
        const stamp = { ...at, offsetMs: 0, roundTripMs: 4, late: false };
        expect((await corvin.post(`/api/runs/${runId}/events`, { kind, data: { step }, stamp })).status).toBe(201);
      }
    }
  }

  it('holds the run for a device that was cut off, until what it kept has arrived', async () => {
    const { page } = await openBench();
    await press(page, 'Start');
    await sent(page);
    await context.setOffline(true);
    await press(page, 'End');
    const [first, ...others] = furnished.protocol.steps.map(({ id }) => id).slice(0, -1);
    await doElsewhere(others, ['step-started', 'step-ended']);
    expect(await rulesOf()).toContain('device-unsent');
    await context.setOffline(false);
    await sent(page);
    expect((await told()).at(-1)).toBe(`step-ended ${first}`);
    expect(await rulesOf()).not.toContain('device-unsent');
  }, 60_000);

  it('says by itself that it holds nothing, when the rest was done elsewhere', async () => {
    const { page } = await openBench();
    await press(page, 'Start');
    await sent(page);
    const [first, ...others] = furnished.protocol.steps.map(({ id }) => id).slice(0, -1);
    await doElsewhere([first ?? ''], ['step-ended']);
    await doElsewhere(others, ['step-started', 'step-ended']);
    for (let turn = 0; turn < 50 && (await told()).at(-1) !== 'device-settled'; turn += 1) {
      await page.waitForTimeout(100);
    }
    expect((await told()).at(-1)).toBe('device-settled');
    expect(await rulesOf()).not.toContain('device-unsent');
  }, 60_000);

  it('is handed over by a scanned badge and a PIN in the middle of a step', async () => {
    const corvin = await test.signIn('corvin');
    const made = await corvin.post<{ label: string }>('/api/session/badge', { pin: '280613', password: PASSWORD });
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await scan(page, made.body.label);
    const sheet = page.getByRole('dialog', { name: 'Who takes over?' });
    for (const digit of '280613') await sheet.getByRole('button', { name: `Digit ${digit}` }).click();
    await sheet.getByRole('button', { name: 'Take over' }).click();
    await page.getByText('Corvin Lanternquay is at the bench now.').waitFor();
    await press(page, 'End');
    await sent(page);
    const names = new Map(
      await test.store.read(LABORATORY, async (view) =>
        (await view.all(PersonRow)).map(({ id, name }) => [id, name] as const),
      ),
    );
    expect((await events()).map(({ kind, personId }) => [kind, names.get(personId)])).toEqual([
      ['step-started', 'Tansy Pebbleworth'],
      ['step-ended', 'Corvin Lanternquay'],
    ]);
    expect(errors).toEqual([]);
  }, 60_000);

  it('sends nobody’s entries under another’s name', async () => {
    const { page } = await openBench();
    await context.setOffline(true);
    await press(page, 'Start');
    await page.getByText('1 entry is on this device only').waitFor();
    // The device is handed over as it is: the next person signs in when the network is back.
    await context.clearCookies();
    await page.route('**/api/runs/**', (route) => route.abort());
    await context.setOffline(false);
    await page.reload();
    await page.getByLabel('Name for signing in').fill('corvin');
    await page.getByLabel('Password').fill(PASSWORD);
    await page.keyboard.press('Enter');
    await page.unroute('**/api/runs/**');
    await page.getByText('1 entry of Tansy Pebbleworth waits for their sign-in here').waitFor();
    expect(await told()).toEqual([]);
  }, 60_000);
});
