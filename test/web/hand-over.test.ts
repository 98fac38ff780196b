import { beforeAll, expect, it } from '@jest/globals';
import type { BrowserContext, Request, Route } from 'playwright-core';
import type { BadgeLabelDto, PersonDto } from '../../src/contract/people.dto.js';
import { PASSWORD } from '../support/app.js';
import { allSent, openBench, press, type StandingRun, standRun } from '../support/bench-page.js';
import { openPage, signIn } from '../support/browser.js';
import { Bench } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const PIN = '280613';

describeWith('chromium', 'The hand-over page', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  let context: BrowserContext;
  let standing: StandingRun;

  beforeAll(async () => {
    standing = await standRun(test);
    await test.createPerson('brindle', ['administrator'], 'Brindle Ashe');
    context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  });

  it('tells what the next person takes over, keeps a note, and is taken over by badge and PIN', async () => {
    const corvin = await test.signIn('corvin');
    const made = await corvin.post<BadgeLabelDto>('/api/session/badge', { pin: PIN, password: PASSWORD });
    const { page, errors } = await openBench(context, test.url);
    await press(page, 'Start');
    await allSent(page);
    await page.locator('summary', { hasText: 'Tansy Pebbleworth' }).click();
    await page.getByRole('link', { name: 'What is handed over' }).click();
    await page.getByRole('heading', { name: 'Hand-over', level: 1 }).waitFor();
    const part = (title: string) => page.locator('section').filter({ has: page.getByRole('heading', { name: title }) });

    const racks = part('In progress');
    await racks.getByText(/^End: /).waitFor();
    await racks.getByText(/^about \d+ min still( \(\d+ to \d+\))?$/).waitFor();
    await racks.getByText('Ultrasound 1').waitFor();
    await part('Held results').getByText('No result that was reached is held.').waitFor();
    await part('Baths near their limit').getByText('Every bath in use is well within its limits.').waitFor();
    await part('On this device only').getByText('Nothing: what was entered here has been sent.').waitFor();
    await part('Controls due or failed').locator('li, p').first().waitFor();

    const notes = part('Notes left');
    await notes.getByText('No note is open, and none was seen to in the last eight days.').waitFor();
    await notes.getByLabel('For whoever takes over').fill('The second timer beeps late.');
    await notes.getByText(/No patient’s name or number/).waitFor();
    await notes.getByRole('button', { name: 'Leave the note' }).click();
    await notes.getByRole('listitem').filter({ hasText: 'The second timer beeps late.' }).waitFor();
    await notes.getByText(/^Tansy Pebbleworth, /).waitFor();

    // What the server cannot be asked is said to be old or unknown, never to be nothing.
    await context.setOffline(true);
    await page.getByText(/Not connected since/).waitFor();
    await page.getByRole('link', { name: 'Bench' }).click();
    await press(page, 'End');
    await page.goBack();
    await part('On this device only').getByText('1 entry of Tansy Pebbleworth is not sent yet').waitFor();
    await racks.getByText(/^Start: /).waitFor();
    await context.setOffline(false);
    await allSent(page);

    const taking = part('Who takes over?');
    await taking.getByLabel('Badge').fill(made.body.label);
    await taking.getByLabel('PIN').fill(PIN);
    await taking.getByRole('button', { name: 'Take over' }).click();
    await page.getByText(/At the bench: Corvin Lanternquay\./).waitFor();
    await notes.getByText(/^Tansy Pebbleworth, /).waitFor();
    await notes.getByRole('button', { name: 'Seen to: The second timer beeps late.' }).click();
    await notes.getByText(/by Corvin Lanternquay/).waitFor();
    expect(await notes.getByRole('button', { name: /^Seen to/ }).count()).toBe(0);

    await page.emulateMedia({ media: 'print' });
    expect(await racks.isVisible()).toBe(true);
    expect(await notes.getByText('The second timer beeps late.').isVisible()).toBe(true);
    expect([await taking.isVisible(), await notes.getByLabel('For whoever takes over').isVisible()]).toEqual([
      false,
      false,
    ]);
    expect(errors).toEqual([]);
  });

  it('asks nobody to sign in again for an answer that was under way when another person came in', async () => {
    const brindle = await test.as('director');
    await brindle.post('/api/hand-over/notes', { text: 'The hood hums.' });
    const corvin = await test.signIn('corvin');
    const made = await corvin.post<BadgeLabelDto>('/api/session/badge', { pin: PIN, password: PASSWORD });
    const desk = await browser.newContext({ serviceWorkers: 'block' });
    const { page, errors } = await openPage(desk);
    await signIn(page, test.url, 'tansy', PASSWORD);
    // As the server answers to a cookie that a hand-over has just ended.
    const unknown = async (route: Route): Promise<void> => {
      const { pathname } = new URL(route.request().url());
      const answer = await fetch(test.url + pathname);
      expect(answer.status).toBe(401);
      const headers = { 'content-type': answer.headers.get('content-type') ?? '' };
      await route.fulfill({ status: 401, headers, body: await answer.text() });
    };
    let letAnswer = (): void => undefined;
    const takenOver = new Promise<void>((done) => {
      letAnswer = done;
    });
    await page.route('**/api/hand-over/notes', unknown, { times: 1 });
    const looked = page.waitForRequest('**/api/session');
    await page.getByText('Tansy Pebbleworth', { exact: true }).click();
    await page.route('**/api/session', async (route) => {
      await takenOver;
      await unknown(route);
    });
    await page.getByRole('link', { name: 'What is handed over' }).click();
    await looked;
    const taking = page.locator('section').filter({ has: page.getByRole('heading', { name: 'Who takes over?' }) });
    await taking.getByLabel('Badge').fill(made.body.label);
    await taking.getByLabel('PIN').fill(PIN);
    await taking.getByRole('button', { name: 'Take over' }).click();
    await page.getByText(/At the bench: Corvin Lanternquay\./).waitFor();
    const answered = page.waitForResponse('**/api/session');
    letAnswer();
    await (await answered).finished();
    await page.getByRole('button', { name: 'Seen to: The hood hums.' }).click();
    await page
      .getByText(/by Corvin Lanternquay/)
      .first()
      .waitFor();
    expect(await page.getByRole('alertdialog').count()).toBe(0);
    expect(errors).toEqual([]);
    await desk.close();
  });

  it('asks as much of the server for many runs as for one', async () => {
    const desk = await browser.newContext();
    const { page } = await openPage(desk);
    await signIn(page, test.url, 'corvin', PASSWORD);
    const asked = async (): Promise<string[]> => {
      const paths: string[] = [];
      const note = (request: Request): void => {
        const { pathname, search } = new URL(request.url());
        paths.push(pathname + search);
      };
      page.on('request', note);
      await page.goto(`${test.url}/hand-over`);
      await page.getByText('No result that was reached is held.').waitFor();
      await page.waitForLoadState('networkidle');
      page.off('request', note);
      // News that comes meanwhile may ask for the same once more, and never for something else.
      return [...new Set(paths.filter((path) => path.startsWith('/api/') && !path.startsWith('/api/time')))].sort();
    };
    const forOne = await asked();
    const { tansy, furnished } = standing;
    for (const n of [2, 3, 4, 5]) await new Bench(test, tansy, furnished, `station-${n}`).start();
    expect(await asked()).toEqual(forOne);
    expect(forOne.filter((path) => path.startsWith('/api/runs'))).toEqual(['/api/runs/standings?take=30']);
    await desk.close();
  });

  it('begins with a badge that an administrator gives, once and as PDF, and its owner sets the PIN of', async () => {
    const desk = await browser.newContext({ viewport: { width: 1280, height: 900 } });
    const { page, errors } = await openPage(desk);
    await signIn(page, test.url, 'brindle', PASSWORD);
    await page.goto(`${test.url}/people`);
    await page.getByRole('button', { name: 'Give a badge: Tansy Pebbleworth' }).click();
    const sheet = page.getByRole('dialog', { name: 'A badge for Tansy Pebbleworth' });
    await sheet.getByRole('button', { name: 'Make the badge' }).click();
    const label = (await sheet.locator('code').textContent()) ?? '';
    const [file] = await Promise.all([
      page.waitForEvent('download'),
      sheet.getByRole('link', { name: 'Save the badge as PDF' }).click(),
    ]);
    expect(file.suggestedFilename()).toBe('badge.pdf');
    await sheet.getByRole('button', { name: 'Close' }).click();
    await page.getByText('its PIN is not set yet').waitFor();
    expect(await page.content()).not.toContain(label);
    await page.context().close();

    const own = await browser.newContext();
    const { page: bench } = await openPage(own);
    await signIn(bench, test.url, 'tansy', PASSWORD);
    await bench.getByText('Tansy Pebbleworth', { exact: true }).click();
    await bench.getByRole('button', { name: 'Badge and PIN' }).click();
    const setting = bench.getByRole('dialog', { name: 'Your badge and PIN' });
    await setting.getByLabel('Badge that you were given').fill(label);
    await setting.getByLabel('PIN', { exact: true }).fill(PIN);
    await setting.getByLabel(/password/i).fill(PASSWORD);
    await setting.getByRole('button', { name: 'Set the PIN' }).click();
    await bench.getByText('The PIN is set.').waitFor();
    const people = (await (await test.signIn('brindle')).get<PersonDto[]>('/api/people')).body;
    expect(people.find(({ login }) => login === 'tansy')?.badgeWithoutPin).toBe(false);
    expect(errors).toEqual([]);
  });
});
