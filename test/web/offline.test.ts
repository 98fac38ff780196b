import { afterEach, beforeEach, expect, it } from '@jest/globals';
import type { BrowserContext } from 'playwright-core';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import type { RunEvent } from '../../src/core/run/events.js';
import { makeLabel } from '../../src/core/gs1/label.js';
import { instantOf } from '../../src/core/time/instant.js';
import { PersonRow, SessionRow } from '../../src/store/rows/people.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { allSent, BOUNCE_MS, eventsOfRun, openBench as openBenchIn, press, standRun } from '../support/bench-page.js';
import { openPage, scan } from '../support/browser.js';
import type { Furnished } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, restart, test } from '../support/stage.js';
import { until } from '../support/until.js';

describeWith('chromium', 'The bench without a network', (chromiumPath) => {
  onPages(chromiumPath, { each: true, realClock: true });

  let context: BrowserContext;
  let furnished: Furnished;
  let tansy: Client;
  let runId: string;

  beforeEach(async () => {
    ({ furnished, tansy, runId } = await standRun(test));
    context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  });
  afterEach(async () => {
    await context.close();
  });

  const events = (): Promise<RunEvent[]> => eventsOfRun(test, runId);
  const told = async (): Promise<string[]> =>
    (await events()).map(({ kind, data }) => `${kind} ${'step' in data ? data.step : ''}`.trim());

  const openBench = () => openBenchIn(context, test.url);
  const rulesOf = async (): Promise<string[] | undefined> =>
    (await tansy.get<JudgementDto>(`/api/runs/${runId}/judgement`)).body.subjects[0]?.points[0]?.findings.map(
      ({ rule }) => rule,
    );

  it('goes on through a dropped network and a reloaded tab, and sends everything once and in order', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await allSent(page);
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
    await allSent(page);
    await allSent(second.page);
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
    // As sure as the contact before it was: within its round trip, but for the drift since.
    expect(ended?.stamp.uncertaintyMs).toBeLessThan((ended?.stamp.roundTripMs ?? 0) + 1_000);
    expect([...errors, ...second.errors]).toEqual([]);
  });

  it('goes on while the server is stopped and started again, a step that a scan started included', async () => {
    const { page, errors } = await openBench();
    const core = makeLabel('S', 'QY-101');
    await scan(page, core);
    await page.waitForURL(/run=/);
    await scan(page, core);
    await page.getByRole('region', { name: 'Next' }).getByRole('button', { name: 'End', exact: true }).waitFor();
    await page.waitForTimeout(BOUNCE_MS);
    await allSent(page);
    const port = Number(new URL(test.url).port);
    await test.stop();
    await press(page, 'End');
    await page.getByText('1 entry is on this device only').waitFor();
    await restart({ realClock: true, config: { port } });
    await allSent(page);
    expect(await told()).toEqual(['step-started receive', 'step-ended receive']);
    expect(errors).toEqual([]);
  });

  it('keeps times right when the device’s clock is set in the middle of a step', async () => {
    const { page } = await openBench();
    const from = Date.now();
    await press(page, 'Start');
    // No contact until the page was seen without one.
    await page.route('**/api/time?*', (route) => route.abort());
    await page.evaluate(() => {
      const real = Date.now.bind(Date);
      Date.now = () => real() + 3_600_000;
    });
    await page.getByText('Clock not checked').waitFor();
    await page.unroute('**/api/time?*');
    await page.getByText('Clock not checked').waitFor({ state: 'hidden' });
    await press(page, 'End');
    const passedMs = Date.now() - from;
    await allSent(page);
    const [begun, ended] = await events();
    expect(ended?.stamp.clockSession).not.toBe(begun?.stamp.clockSession);
    const tookMs = Date.parse(ended?.stamp.at ?? '') - Date.parse(begun?.stamp.at ?? '');
    expect(tookMs).toBeGreaterThan(0);
    expect(tookMs - passedMs).toBeLessThan((begun?.stamp.uncertaintyMs ?? 0) + (ended?.stamp.uncertaintyMs ?? 0) + 1);
  });

  it('keeps what the server refuses, says why, and takes it as a note', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await allSent(page);
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
    await page.getByRole('textbox', { name: 'Why it cannot stand as it is' }).fill('Corvin ended it before me.');
    await page.getByRole('button', { name: 'Keep the note' }).click();
    await panel.waitFor({ state: 'hidden' });
    await allSent(page);
    const [, , note] = await events();
    expect(note).toMatchObject({
      kind: 'noted',
      data: {
        text: expect.stringMatching(
          /not taken: receive ended, .* Set aside: “Corvin ended it before me\.” .*not running/,
        ),
      },
    });
    expect(errors).toEqual([]);
  });

  it('takes what it refused once it has the right time, and keeps the old one in a note', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await allSent(page);
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
    await allSent(page);
    const [ended, note] = (await events()).slice(-2);
    expect(ended).toMatchObject({ kind: 'step-ended', stamp: { late: true, uncertaintyMs: 2000, monotonicMs: null } });
    expect(note).toMatchObject({
      kind: 'noted',
      data: { text: expect.stringMatching(/^Entered at the bench: receive ended, .* by my watch$/) },
    });
    expect(errors).toEqual([]);
  });

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

  async function clearElsewhere(): Promise<void> {
    const corvin = await test.signIn('corvin');
    const at = { at: instantOf(Date.now()), uncertaintyMs: 5, device: 'bench 2', monotonicMs: null };
    const stamp = { ...at, offsetMs: 0, roundTripMs: 4, late: false };
    expect((await corvin.post(`/api/runs/${runId}/events`, { kind: 'cleared', data: {}, stamp })).status).toBe(201);
  }

  it('holds the run for a device that was cut off, until what it kept has arrived, though it was cleared elsewhere', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await press(page, 'End');
    await allSent(page);
    await context.setOffline(true);
    await press(page, 'Start');
    await press(page, 'End');
    const [, second, ...others] = furnished.protocol.steps.map(({ id }) => id);
    await doElsewhere(others, ['step-started', 'step-ended']);
    await clearElsewhere();
    expect(await rulesOf()).toContain('device-unsent');
    await context.setOffline(false);
    await allSent(page);
    expect((await told()).slice(-2)).toEqual([`step-started ${second}`, `step-ended ${second}`]);
    expect(await rulesOf()).not.toContain('device-unsent');
    expect(errors).toEqual([]);
  });

  it('says by itself that it holds nothing, when the rest was done and cleared elsewhere', async () => {
    const { page } = await openBench();
    await press(page, 'Start');
    await allSent(page);
    const [first, ...others] = furnished.protocol.steps.map(({ id }) => id).slice(0, -1);
    await context.setOffline(true);
    await doElsewhere([first ?? ''], ['step-ended']);
    await doElsewhere(others, ['step-started', 'step-ended']);
    await clearElsewhere();
    await context.setOffline(false);
    await until('it said so', async () => (await told()).at(-1) === 'device-settled');
    expect(await rulesOf()).not.toContain('device-unsent');
  });

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
    await allSent(page);
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
  });

  it('is taken over by badge and PIN without a network, who it was is proven and stays marked', async () => {
    const { page, errors } = await openBench();
    const badges: Record<string, string> = {};
    for (const login of ['corvin', 'tansy']) {
      const client = await test.signIn(login);
      const made = await client.post<{ label: string }>('/api/session/badge', { pin: '280613', password: PASSWORD });
      badges[login] = made.body.label;
    }
    const takeOver = async (login: string, pin = '280613'): Promise<void> => {
      await scan(page, badges[login] ?? '');
      const sheet = page.getByRole('dialog', { name: 'Who takes over?' });
      await sheet.getByLabel('PIN').fill(pin);
      await sheet.getByRole('button', { name: 'Take over' }).click();
    };
    for (const [login, name] of [
      ['corvin', 'Corvin Lanternquay'],
      ['tansy', 'Tansy Pebbleworth'],
    ] as const) {
      const given = page.waitForResponse((answer) => answer.url().endsWith('/api/session/day-pass'));
      await takeOver(login);
      await page.getByText(`${name} is at the bench now.`).waitFor();
      await given;
      await page.waitForTimeout(BOUNCE_MS);
    }
    await context.setOffline(true);
    await press(page, 'Start');
    await page.getByText(/Not connected since/).waitFor();
    await takeOver('corvin', '280614');
    await page.getByText(/open no day pass on this device/).waitFor();
    await page.keyboard.press('Escape');
    await takeOver('corvin');
    await page.getByText('Corvin Lanternquay is at the bench now.').waitFor();
    await page.reload();
    await page.getByText('Under a day pass: what you enter is marked so').waitFor();
    await press(page, 'End');
    await page.getByText('1 entry is on this device only').waitFor();
    // By the timers of the page: what was sent is told of when it had to wait for a second.
    await page.evaluate('new Promise((resolve) => setTimeout(resolve, 1_100))');

    await context.setOffline(false);
    await page.getByText('Under a day pass: what you enter is marked so').waitFor({ state: 'hidden' });
    await page.getByText(/^All sent at \d/).waitFor();
    await press(page, 'Start');
    await allSent(page);
    const kept = await events();
    const { id } = (await test.store.read(LABORATORY, (view) => view.all(PersonRow))).find(
      ({ login }) => login === 'corvin',
    ) as PersonRow;
    expect(kept.map(({ kind, stamp, personId }) => [kind, personId === id, stamp.pass !== undefined])).toEqual([
      ['step-started', false, false],
      ['step-ended', true, true],
      ['step-started', true, false],
    ]);
    expect(await rulesOf()).toContain('under-day-pass');
    expect(errors).toEqual([]);
  });

  it('is signed out without a network, and the session ends once the server hears of it', async () => {
    const { page } = await openBench();
    const sessions = (): Promise<number> =>
      test.store.read(LABORATORY, async (view) => (await view.all(SessionRow)).length);
    const before = await sessions();
    await context.setOffline(true);
    await page.getByText(/Not connected since/).waitFor();
    await page.getByText('Tansy Pebbleworth', { exact: true }).click();
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByLabel('Name for signing in').waitFor();
    await page.reload();
    await page.getByLabel('Name for signing in').waitFor();
    expect(await sessions()).toBe(before);
    await context.setOffline(false);
    await page.reload();
    await page.getByLabel('Name for signing in').waitFor();
    await until('it has ended', async () => (await sessions()) === before - 1);
  });

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
  });
});
