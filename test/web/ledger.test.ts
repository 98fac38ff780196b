import { beforeAll, expect, it } from '@jest/globals';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import type { CountListDto, OnHandListDto } from '../../src/contract/ledger.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { type Client, PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const TABLE = [
  'reagent,lot number,expiry,supplier,amount,unit,price',
  'eosin-y-alcoholic,TARN-1,2031-06-30,Tarn & Wick supply,250,mL,18.50',
  'eosin-y-alcoholic,TARN-2,2031-02-30,Tarn & Wick supply,250,mL,18.50',
].join('\n');

describeWith('chromium', 'The shelf and its ledger in a browser', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  let manager: Client;
  let lots: LotDto[];

  beforeAll(async () => {
    await test.createPerson('marl', ['manager', 'technician'], 'Marl Dunewick');
    manager = await test.signIn('marl');
    lots = [];
    for (const [number, expiry] of [
      ['LATE', '2032-06'],
      ['SOON', '2031-01'],
    ]) {
      const lot = { reagent: 'xylene', number, expiry, source: 'Tidewater Reagents', containers: [{ size: '500 mL' }] };
      const { body } = await manager.post<LotDto>('/api/lots', lot);
      await manager.post(`/api/lots/${body.id}/decisions`, { standing: 'accepted', reason: 'compared' });
      lots.push(body);
    }
  });

  async function open(path: string, width = 1280): Promise<{ page: Page; errors: string[] }> {
    const opened = await openPage(await browser.newContext({ viewport: { width, height: 900 } }));
    await signIn(opened.page, test.url, 'marl', PASSWORD);
    await opened.page.goto(`${test.url}${path}`);
    return opened;
  }
  const stock = async () => (await manager.get<OnHandListDto>('/api/stock/on-hand?reagent=xylene')).body.items[0];

  it('shows what ends first first, and books what was used by hand', async () => {
    const { page, errors } = await open('/stock/shelf');
    await page.getByText('2 containers', { exact: true }).click();
    const lines = page.locator('.shelf-container');
    await lines.nth(1).waitFor();
    expect(await lines.allInnerTexts()).toEqual([
      expect.stringContaining('Lot SOON'),
      expect.stringContaining('Lot LATE'),
    ]);
    await lines.first().getByRole('button', { name: /^Book/ }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('Amount').fill('0,6');
    await sheet.getByLabel('Unit').fill('g');
    await sheet.getByRole('button', { name: 'Book it' }).click();
    await sheet.getByRole('alert').filter({ hasText: 'cannot be converted' }).waitFor();
    await sheet.getByLabel('Unit').fill('L');
    await sheet.getByRole('button', { name: 'Book it' }).click();
    await sheet.getByRole('alert').filter({ hasText: 'holds 500 mL by the ledger and 600 mL were asked' }).waitFor();
    await sheet.getByLabel('Amount').fill('0.18');
    await sheet.getByRole('button', { name: 'Book it' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await lines.first().getByText('used, opening not recorded').waitFor();
    expect((await stock())?.total).toEqual({ value: 820, unit: 'mL' });
    await page.getByLabel('Show').selectOption({ label: 'past its end' });
    await page.getByText('Nothing here fits').waitFor();
    expect(new URL(page.url()).search).toBe('?show=over');
    expect(errors).toEqual([]);
  });

  it('counts what is scanned, and tells the difference only afterwards', async () => {
    const { page, errors } = await open('/stock/counts?reagent=xylene');
    await page.getByText('0 of 2 counted today').waitFor();
    await page
      .getByRole('textbox', { name: 'Scan the container that you count' })
      .fill(lots[0]?.containers[0]?.label ?? '');
    await page.keyboard.press('Enter');
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('Found, in mL').fill('440');
    expect(await sheet.innerText()).not.toContain('500');
    await sheet.getByRole('button', { name: 'Keep the count' }).click();
    await sheet.getByRole('alert').filter({ hasText: 'holds 500 mL by the ledger and you found 440 mL' }).waitFor();
    await sheet.getByLabel('Why they differ').fill('dish not written down');
    await sheet.getByRole('button', { name: 'Keep it with this reason' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await page.getByText('1 of 2 counted today').waitFor();
    await page.getByRole('cell', { name: 'dish not written down' }).waitFor();
    const { body } = await manager.get<CountListDto>('/api/stock/counts');
    expect(body.items.map(({ variance, person }) => [variance.value, person])).toEqual([[-60, 'Marl Dunewick']]);
    await page.goto(`${test.url}/stock/ledger?kind=adjusted`);
    await page.getByRole('listitem').filter({ hasText: '−60 mL' }).waitFor();
    expect(errors).toEqual([]);
  });

  it('tells what is wrong with a table by row and column, and takes the right rows when told', async () => {
    const { page, errors } = await open('/stock/import');
    const chooser = page.waitForEvent('filechooser');
    await page.getByRole('button', { name: 'Choose a table' }).click();
    await (await chooser).setFiles({ name: 'opening.csv', mimeType: 'text/csv', buffer: Buffer.from(TABLE) });
    await page.getByRole('heading', { name: '1 of 2 rows are right' }).waitFor();
    await page.getByRole('row', { name: /^3 expiry/ }).waitFor();
    await page.getByRole('button', { name: 'Take the one right row only' }).click();
    await page.getByRole('link', { name: 'To the lots' }).waitFor();
    const { body } = await manager.get<OnHandListDto>('/api/stock/on-hand?reagent=eosin-y-alcoholic');
    expect(body.items.map(({ total, valueCents }) => [total.value, valueCents])).toEqual([[250, 1_850]]);
    expect(errors).toEqual([]);
  });

  it('has no fault that axe-core finds when narrowed to what matters, and never scrolls sideways', async () => {
    const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    const { page } = await open('/stock', 390);
    for (const path of ['/stock/shelf?show=undated', '/stock/counts?reagent=xylene']) {
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme });
        await page.goto(`${test.url}${path}`);
        await page.locator('h1').waitFor();
        await page.waitForLoadState('networkidle', { timeout: 1_000 }).catch(() => undefined);
        await page.evaluate(axe);
        const found = await page.evaluate(async () => {
          const { violations } = await (
            globalThis as unknown as {
              axe: { run(): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> };
            }
          ).axe.run();
          return violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`);
        });
        expect([path, colorScheme, ...found]).toEqual([path, colorScheme]);
        expect(await page.evaluate<boolean>('document.documentElement.scrollWidth > innerWidth')).toBe(false);
      }
    }
  });
});
