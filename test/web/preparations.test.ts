import { beforeAll, expect, it } from '@jest/globals';
import type { Page } from 'playwright-core';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { BathDto, PreparationDto } from '../../src/contract/preparations.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { type Client, PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'Preparations and baths in a browser', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  let manager: Client;
  let page: Page;
  let errors: string[];

  beforeAll(async () => {
    await test.createPerson('marl', ['manager', 'technician'], 'Marl Dunewick');
    manager = await test.signIn('marl');
    const opened = await openPage(await browser.newContext({ viewport: { width: 390, height: 844 } }));
    ({ page, errors } = opened);
    await signIn(page, test.url, 'marl', PASSWORD);
  });

  async function bottle(reagent: string, size: string): Promise<{ id: string; label: string }> {
    const { status, body } = await manager.post<LotDto>('/api/lots', {
      reagent,
      number: `L-${reagent}`.slice(0, 40),
      source: 'Tidewater Reagents (invented)',
      expiry: `${new Date().getUTCFullYear() + 1}-12`,
      containers: [{ size }],
    });
    if (status !== 201) throw new Error(JSON.stringify(body));
    await manager.post(`/api/lots/${body.id}/decisions`, { standing: 'accepted', reason: 'Checked.' });
    return body.containers[0]!;
  }

  async function faults(): Promise<string[]> {
    const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const { violations } = await (
        globalThis as unknown as { axe: { run(): Promise<{ violations: { id: string }[] }> } }
      ).axe.run();
      return violations.map(({ id }) => id);
    });
    const wide = await page.evaluate<boolean>('document.documentElement.scrollWidth > innerWidth');
    return wide ? [...found, 'scrolls sideways'] : found;
  }

  it('leads from a recipe through weighing to a preparation that waits for its reading', async () => {
    const salt = await bottle('disodium-hydrogen-phosphate-dihydrate', '500 g');
    const acid = await bottle('potassium-dihydrogen-phosphate', '500 g');
    await page.goto(`${test.url}/stock/recipes`);
    await page.getByLabel('Find a recipe').fill('buffered water');
    expect(await faults()).toEqual([]);
    await page.getByRole('link', { name: /^Buffered water for Romanowsky/ }).click();
    await page.getByLabel('How much to make').fill('500');
    await page.getByLabel('Unit').selectOption('mL');
    await page.getByText('1.9 g', { exact: true }).waitFor();
    expect(await faults()).toEqual([]);
    await page.getByRole('link', { name: 'Make it now' }).click();

    const lines = page.locator('.prepare-line');
    const take = async (n: number, label: string, amount: string) => {
      await lines.nth(n).getByRole('textbox', { name: 'Scan the container' }).fill(label);
      await lines.nth(n).getByRole('button', { name: 'Take', exact: true }).click();
      await lines.nth(n).getByRole('button', { name: 'Open it now' }).click();
      await lines.nth(n).getByLabel('Really taken, g').fill(amount);
    };
    await lines.nth(0).getByRole('textbox', { name: 'Scan the container' }).fill(acid.label);
    await lines.nth(0).getByRole('button', { name: 'Take', exact: true }).click();
    await lines.nth(0).getByText('this line takes Disodium hydrogen phosphate dihydrate').waitFor();
    await take(0, salt.label, '2,0');
    await lines.nth(0).getByLabel('Why it differs').fill('The spoon was heavy.');
    await take(1, acid.label, '1.05');
    // What was weighed stands there again after a reload.
    await page.reload();
    await lines.nth(1).getByLabel('Really taken, g').waitFor();
    expect(await lines.nth(1).getByLabel('Really taken, g').inputValue()).toBe('1.05');
    expect(await lines.nth(0).getByLabel('Why it differs').inputValue()).toBe('The spoon was heavy.');
    expect(await faults()).toEqual([]);
    await page.getByRole('button', { name: 'Keep the preparation' }).click();
    await page.getByText('It cannot be accepted yet: pH was not read.').waitFor();
    await page.getByLabel('pH', { exact: true }).fill('7,1');
    await page.getByRole('button', { name: 'Keep the reading' }).click();
    await page.getByText('Every reading passed.').waitFor();
    expect(await faults()).toEqual([]);
    const lotId = page.url().split('/').at(-1)!;
    expect(await page.evaluate('Object.keys(sessionStorage).filter((key) => key.includes("draft"))')).toEqual([]);
    const { body } = await manager.get<PreparationDto>(`/api/preparations/${lotId}`);
    expect(body.lines[0]).toMatchObject({ taken: [{ value: 2, unit: 'g' }], reason: 'The spoon was heavy.' });
    expect(errors).toEqual([]);
  });

  it('makes a bath up, filters it with one touch and changes it', async () => {
    const xylene = await bottle('xylene', '2 L');
    await manager.post(`/api/containers/${xylene.id}/state`, { state: 'opened' });
    await page.goto(`${test.url}/stock/baths`);
    await page.getByText('No bath is made up yet').waitFor();
    expect(await faults()).toEqual([]);
    await page.getByRole('button', { name: 'Make a bath up' }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('What stands in it').selectOption('xylene');
    const pour = async (amount: string) => {
      await sheet.getByRole('textbox', { name: 'Scan the container' }).fill(xylene.label);
      await sheet.getByRole('button', { name: 'Take', exact: true }).click();
      await sheet.getByLabel('mL poured').fill(amount);
    };
    await pour('300');
    await sheet.getByLabel('Bench place').fill('Line 1');
    await sheet.getByLabel('Line of baths').fill('H&E');
    await sheet.getByText('The protocols say').click();
    await sheet.getByRole('button', { name: 'Take these limits: H&E, Harris haematoxylin, regressive' }).click();
    await sheet.getByLabel('Filter it').selectOption('P0D');
    expect(await faults()).toEqual([]);
    await sheet.getByRole('button', { name: 'Make it up' }).click();
    await page.getByText('0 of 1000 slides passed').waitFor();
    expect(await faults()).toEqual([]);
    await page.getByRole('button', { name: /^Filtered: Xylene/ }).click();
    await page.getByText('is filtered').first().waitFor();
    await page.getByRole('button', { name: /^Change: Xylene/ }).click();
    await pour('250');
    await sheet.getByRole('button', { name: 'Change it' }).click();
    await sheet.waitFor({ state: 'hidden' });
    const baths = (await manager.get<BathDto[]>('/api/baths')).body;
    expect(baths.map(({ components, maxSlides }) => [components[0]!.quantity!.value, maxSlides])).toEqual([
      [250, 1000],
    ]);
    expect(errors).toEqual([]);
  });
});
