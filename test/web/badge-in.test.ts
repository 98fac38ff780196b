import { afterEach, beforeEach, expect, it } from '@jest/globals';
import type { BrowserContext, Page } from 'playwright-core';
import { makeLabel } from '../../src/core/gs1/label.js';
import { PersonRow, SessionRow } from '../../src/store/rows/people.entity.js';
import { LABORATORY, PASSWORD } from '../support/app.js';
import { allSent, BOUNCE_MS, eventsOfRun, openBench as openBenchIn, press, standRun } from '../support/bench-page.js';
import { scan } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const PIN = '280613';
const UNDER_PASS = 'Under a day pass: what you enter is marked so';

describeWith('chromium', 'Badging in where nobody is signed in', (chromiumPath) => {
  onPages(chromiumPath, { each: true, realClock: true });

  let context: BrowserContext;
  let runId: string;
  let badge: string;

  beforeEach(async () => {
    ({ runId } = await standRun(test));
    const corvin = await test.signIn('corvin');
    badge = (await corvin.post<{ label: string }>('/api/session/badge', { pin: PIN, password: PASSWORD })).body.label;
    context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  });
  afterEach(async () => {
    await context.close();
  });

  /** The bench, on a device on which Corvin has badged in. */
  async function openBench(): Promise<{ page: Page; errors: string[] }> {
    const opened = await openBenchIn(context, test.url);
    const { page } = opened;
    const given = page.waitForResponse((answer) => answer.url().endsWith('/api/session/day-pass'));
    await scan(page, badge);
    const sheet = page.getByRole('dialog', { name: 'Who takes over?' });
    await sheet.getByLabel('PIN').fill(PIN);
    await sheet.getByRole('button', { name: 'Take over' }).click();
    await page.getByText('Corvin Lanternquay is at the bench now.').waitFor();
    await given;
    await page.waitForTimeout(BOUNCE_MS);
    return opened;
  }

  async function signOut(page: Page): Promise<void> {
    await page.locator('summary', { hasText: 'Corvin Lanternquay' }).click();
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByLabel('Name for signing in').waitFor();
  }

  async function badgeIn(page: Page, pin = PIN, shown = badge): Promise<void> {
    await page.getByLabel('Badge').fill(shown);
    await page.getByLabel('PIN').fill(pin);
    await page.getByRole('button', { name: 'Go on', exact: true }).click();
  }

  /** Everything that this browser keeps, as text. */
  const keptText = (page: Page): Promise<string> =>
    page.evaluate(`(async () => {
      let text = '';
      for (const { name } of await indexedDB.databases()) {
        const db = await new Promise((resolve) => {
          const asked = indexedDB.open(name);
          asked.onsuccess = () => resolve(asked.result);
        });
        for (const store of db.objectStoreNames) {
          const rows = await new Promise((resolve) => {
            const asked = db.transaction(store).objectStore(store).getAll();
            asked.onsuccess = () => resolve(asked.result);
          });
          const shown = (_, value) => value instanceof ArrayBuffer ? new TextDecoder('latin1').decode(value) : value;
          text += JSON.stringify(rows, shown);
        }
        db.close();
      }
      return text;
    })()`);

  const events = async () => {
    const people = await test.store.read(LABORATORY, (view) => view.all(PersonRow));
    const names = new Map(people.map(({ id, login }) => [id, login]));
    const told = await eventsOfRun(test, runId);
    return told.map(({ kind, stamp, personId }) => [kind, names.get(personId), stamp.pass !== undefined]);
  };

  it('goes on with the runs that the device holds for who has a pass, and sends once somebody signs in', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await allSent(page);
    await page.getByText('QY-101').first().waitFor();
    await signOut(page);
    // Nobody reads on the device what the bench knew, though it is there for who has badge and PIN.
    const kept = await keptText(page);
    expect(kept).toContain('Corvin Lanternquay');
    expect(kept).not.toContain('QY-101');

    await context.setOffline(true);
    await page.reload();
    await page.getByText('Nobody can sign in with a password until it is back').waitFor();
    await page.getByText(/no run is begun, nothing is signed or released/).waitFor();
    await badgeIn(page);
    await page.getByText('Corvin Lanternquay is at the bench now.').waitFor();
    await press(page, 'End');
    await page.getByText('1 entry is on this device only').waitFor();
    await page.reload();
    await page.getByText(UNDER_PASS).waitFor();
    await press(page, 'Start');
    await page.getByText('2 entries are on this device only').waitFor();

    await context.setOffline(false);
    const toSend = page.getByRole('button', { name: 'Sign in to send' });
    await toSend.waitFor();
    // The network is back and nobody is signed in: the step that goes on is not in the way of that.
    await press(page, 'End');
    await page.getByText('3 entries are on this device only').waitFor();
    expect(await events()).toHaveLength(1);
    await toSend.click();
    const sheet = page.getByRole('alertdialog', { name: 'Sign in to send' });
    await sheet.getByLabel('Name for signing in').fill('tansy');
    await sheet.getByLabel('Password').fill(PASSWORD);
    await page.keyboard.press('Enter');
    await page.getByText(UNDER_PASS).waitFor({ state: 'hidden' });
    await allSent(page);
    await press(page, 'Start');
    await page.getByRole('region', { name: 'Next' }).getByRole('button', { name: 'End', exact: true }).waitFor();
    await allSent(page);
    expect(await events()).toEqual([
      ['step-started', 'corvin', false],
      ['step-ended', 'corvin', true],
      ['step-started', 'corvin', true],
      ['step-ended', 'corvin', true],
      ['step-started', 'tansy', false],
    ]);
    expect(errors).toEqual([]);
  });

  it('takes over by itself the session that was signed out without the network', async () => {
    const { page, errors } = await openBench();
    await press(page, 'Start');
    await allSent(page);
    await context.setOffline(true);
    await page.getByText(/Not connected since/).waitFor();
    await signOut(page);
    await badgeIn(page);
    await page.getByText(UNDER_PASS).waitFor();
    await press(page, 'End');
    await context.setOffline(false);
    await page.getByText(UNDER_PASS).waitFor({ state: 'hidden' });
    await allSent(page);
    expect(await events()).toEqual([
      ['step-started', 'corvin', false],
      ['step-ended', 'corvin', true],
    ]);
    const sessions = await test.store.read(LABORATORY, (view) => view.all(SessionRow, { openedBy: 'day-pass' }));
    expect(sessions).toHaveLength(1);
    expect(errors).toEqual([]);
  });

  it('waits after wrong PINs, opens for no other badge, and forgets everything with the day', async () => {
    const { page } = await openBench();
    await signOut(page);
    await context.setOffline(true);
    await page.reload();
    // Time stands still, so that the wait after the third wrong one is not over by itself.
    await page.evaluate('{ const now = Date.now(); Date.now = () => now; }');
    await badgeIn(page, PIN, makeLabel('B', '7K3M-0042'));
    await page.getByText(/open no day pass on this device/).waitFor();
    const refusal = page.getByRole('region', { name: 'Go on without the network' }).getByRole('alert');
    for (const pin of ['280614', '280615']) {
      // What was said of the try before goes when the next one is made.
      await page.evaluate(`document.querySelectorAll('[role=alert]').forEach((said) => (said.dataset.before = ''))`);
      await badgeIn(page, pin);
      await refusal.and(page.locator(':not([data-before])')).waitFor();
    }
    await badgeIn(page);
    await page.getByText(/this device waits: try again in 1 s/).waitFor();

    // A day and a half later its pass has ended, and with it goes what was held under it.
    await page.addInitScript('{ const now = Date.now.bind(Date); Date.now = () => now() + 36 * 3600000; }');
    await page.reload();
    await badgeIn(page);
    await page.getByText(/Without a network only somebody who took over on this device today/).waitFor();
    expect(await keptText(page)).not.toContain('Corvin Lanternquay');
  });
});
