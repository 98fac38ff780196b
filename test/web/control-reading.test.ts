import { beforeAll, expect, it } from '@jest/globals';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { encode } from 'fast-png';
import type { Locator, Page } from 'playwright-core';
import type { ControlResultListDto } from '../../src/contract/control-results.dto.js';
import type { RunPicturesDto } from '../../src/contract/run-pictures.dto.js';
import { type Client, PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'Controls by plan in a browser', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  let furnished: Furnished;
  let technician: Client;

  beforeAll(async () => {
    furnished = await furnish(test, { now: new Date().toISOString() });
    await test.createPerson('isolde', ['director', 'releaser'], 'Isolde Fathomgate');
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    technician = await test.signIn('tansy');
  });

  async function open(login: string, path: string, width = 1280): Promise<{ page: Page; errors: string[] }> {
    const opened = await openPage(await browser.newContext({ viewport: { width, height: 900 } }));
    await signIn(opened.page, test.url, login, PASSWORD);
    await opened.page.goto(`${test.url}${path}`);
    return opened;
  }

  let shade = 0;
  async function keepPicture(sheet: Locator, name: string, exposureMs: string): Promise<void> {
    shade += 40;
    const data = new Uint8Array(12 * 9 * 3).fill(shade);
    const buffer = Buffer.from(encode({ width: 12, height: 9, channels: 3, data }));
    await sheet.getByLabel('Choose a file').setInputFiles({ name, mimeType: 'image/png', buffer });
    await sheet.getByRole('img', { name }).waitFor();
    await sheet.getByLabel('Exposure in milliseconds').fill(exposureMs);
    await sheet.getByRole('button', { name: 'Keep it with the run' }).click();
  }

  async function isAccessible(page: Page): Promise<void> {
    await page.evaluate(await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8'));
    const found = await page.evaluate(async () => {
      const { violations } = await (
        globalThis as unknown as { axe: { run(): Promise<{ violations: { id: string }[] }> } }
      ).axe.run();
      return violations.map(({ id }) => id);
    });
    expect(found).toEqual([]);
    expect(await page.evaluate<boolean>('document.documentElement.scrollWidth > innerWidth')).toBe(false);
  }

  it('writes criteria into a plan, reads a control by them, and lays control and case side by side', async () => {
    const desk = await open('isolde', '/controls/plans/ao-fresh', 390);
    await desk.page.getByRole('button', { name: 'Make a plan of our own' }).click();
    const positive = desk.page
      .locator('.plan-edit')
      .filter({ has: desk.page.getByRole('heading', { name: 'Positive' }) });
    await positive.getByRole('button', { name: 'Write criteria of our own' }).click();
    // The usual ones of the stain, of which two stay and one is new.
    await positive.getByRole('button', { name: 'Take away: Precipitate or crystals' }).click();
    await positive.getByRole('button', { name: 'Take away: Background' }).click();
    await positive.getByRole('button', { name: 'Add a criterion' }).click();
    const added = positive.getByRole('group', { name: 'Criterion 3' });
    await added.getByLabel('What is judged').fill('Glow beside nuclei');
    await added.getByLabel('How it should be').fill('hardly any');
    await added.getByLabel('Scale').selectOption('graded');
    await added.getByLabel('3 means').fill('none');
    await positive.getByText('A second person reads it too').click();
    await desk.page.getByLabel('Why the plan is so').fill('Invented: glow is judged too.');
    await isAccessible(desk.page);
    await desk.page.getByRole('button', { name: 'Save the plan' }).click();
    await desk.page.getByRole('button', { name: 'Approve', exact: true }).click();
    const signing = desk.page.getByRole('dialog');
    await signing.getByLabel('Your password, once more').fill(PASSWORD);
    await signing.getByRole('button', { name: 'Sign the approval' }).click();
    await desk.page.getByText('Glow beside nuclei: 2 of 3 at least').first().waitFor();

    const run = await new Bench(test, technician, furnished).start();
    const bench = await open('tansy', `/?run=${run}`);
    const line = bench.page.getByRole('listitem').filter({ hasText: 'positive control' });
    await line.getByRole('button', { name: 'Read', exact: true }).click();
    const sheet = bench.page.getByRole('dialog');
    await sheet.getByText('The plan asks for a second reader').waitFor();
    const yes = sheet.getByRole('button', { name: 'Yes, as expected' });
    await sheet.getByText('Judge first: Nuclear crispness, Glow beside nuclei.').waitFor();
    expect(await yes.isDisabled()).toBe(true);
    await sheet.getByRole('radiogroup', { name: 'Glow beside nuclei' }).getByText('3: none').click();
    const crisp = sheet.getByRole('radiogroup', { name: 'Nuclear crispness' });
    await crisp.getByText('1: smudged').click();
    await sheet.getByText('A criterion is below what the plan lets pass').waitFor();
    expect(await yes.isDisabled()).toBe(true);
    await crisp.getByText('2: acceptable').click();
    await isAccessible(bench.page);
    await sheet.getByText('Picture of the control').click();
    await keepPicture(sheet, 'control.png', '8');
    await sheet.getByText('1 picture attached').waitFor();
    const sent = bench.page.waitForResponse(
      (answer) => answer.url().endsWith(`/api/runs/${run}/events`) && answer.request().method() === 'POST',
    );
    await yes.click();
    expect((await sent).status()).toBe(201);
    const { items } = (await technician.get<ControlResultListDto>(`/api/control-results?run=${run}`)).body;
    // Whoever says that it is as expected says so of what is only that or not.
    expect(items).toMatchObject([
      {
        requirement: 'positive',
        passed: true,
        pictures: [expect.any(String)],
        readings: [
          {
            criteria: [
              { criterion: 'reaction', grade: 'pass' },
              { criterion: 'nuclear-crispness', grade: 2 },
              { criterion: 'glow-beside-nuclei', grade: 3 },
            ],
          },
        ],
      },
    ]);

    await desk.page.goto(`${test.url}/release/${run}`);
    await desk.page.getByText('No picture of this case was kept in this run.').waitFor();
    for (const exposure of ['20', '8']) {
      await desk.page.getByRole('button', { name: 'Add a picture of QY-101' }).click();
      await keepPicture(desk.page.getByRole('dialog'), `case ${exposure}.png`, exposure);
      await desk.page.getByRole('dialog').waitFor({ state: 'hidden' });
    }
    await desk.page.getByText('Same exposure', { exact: true }).waitFor();
    await desk.page.getByText('Not the same: Exposure in milliseconds.').waitFor();
    expect(await desk.page.getByRole('img', { name: 'Picture of the control, Positive' }).count()).toBe(2);
    await isAccessible(desk.page);
    const { pictures } = (await technician.get<RunPicturesDto>(`/api/runs/${run}/pictures`)).body;
    expect(pictures.map(({ role, exposure }) => [role, exposure.exposureMs])).toEqual([
      ['control', 8],
      ['patient', 20],
      ['patient', 8],
    ]);
    expect([...bench.errors, ...desk.errors]).toEqual([]);
  });
});
