import { beforeAll, expect, it } from '@jest/globals';
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { parse } from 'csv-parse/sync';
import type { Locator, Page } from 'playwright-core';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

/** More than are fetched at a time. */
const DELIVERIES = 130;
const axePath = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

describeWith('chromium', 'Lists in a browser', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  beforeAll(async () => {
    await test.createPerson('marl', ['manager', 'technician'], 'Marl Dunewick');
    const manager = await test.signIn('marl');
    const numbers = Array.from({ length: DELIVERIES }, (_, n) => `${n % 2 === 0 ? 'TARN' : 'WICK'}-${n + 1}`);
    const rows = numbers.map((number) => `xylene,${number},2031-06-30,Tidewater Reagents,500,mL,10`);
    const table = ['reagent,lot number,expiry,supplier,amount,unit,price', ...rows].join('\n');
    const { status } = await manager.post('/api/stock/import', table, { headers: { 'content-type': 'text/csv' } });
    expect(status).toBe(200);
  });

  async function open(path: string): Promise<{ page: Page; errors: string[] }> {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, bypassCSP: true });
    await context.grantPermissions(['clipboard-read', 'clipboard-write'], { origin: test.url });
    const opened = await openPage(context);
    await signIn(opened.page, test.url, 'marl', PASSWORD);
    await opened.page.goto(`${test.url}${path}`);
    return opened;
  }

  it('are narrowed, handed on as a link, taken away as narrowed, and shown whole again', async () => {
    const { page, errors } = await open('/stock');
    const find = page.getByRole('searchbox');
    await find.fill('tarn-129');
    const said = page.getByRole('search').getByRole('status');
    await said.getByText(/^1 of 130 shown$/).waitFor();
    await page.getByRole('button', { name: 'Copy link' }).click();
    expect(await page.evaluate('navigator.clipboard.readText()')).toBe(`${test.url}/stock?find=tarn-129`);
    await page.getByRole('button', { name: 'Export' }).click();
    await page.addScriptTag({ path: axePath });
    const violations = await page.evaluate(
      'axe.run().then(({ violations }) => violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`))',
    );
    expect(violations).toEqual([]);
    const coming = page.waitForEvent('download');
    await page.getByRole('menuitem', { name: 'What is shown, as CSV' }).click();
    const file = await coming;
    expect(file.suggestedFilename()).toBe('lots.csv');
    const taken: Record<string, string>[] = parse(await readFile(await file.path()), { columns: true, bom: true });
    expect(taken.map((lot) => lot['lot number'])).toEqual(['TARN-129']);
    await page.getByRole('button', { name: 'Show all' }).click();
    await said.getByText('130 of 130 shown').waitFor();
    // What was pressed is gone; the focus stays in the part that it belonged to.
    expect(await page.locator('input[type=search]:focus').count()).toBe(1);
    expect(errors).toEqual([]);
  });

  it('tell of each line which of all it is, and go to their end by one key', async () => {
    const { page, errors } = await open('/stock/ledger');
    const lines = page.getByRole('listitem').filter({ has: page.locator('.tag') });
    await lines.first().waitFor();
    const place = async (line: Locator): Promise<(string | null | undefined)[]> => [
      await line.getAttribute('aria-posinset'),
      await line.getAttribute('aria-setsize'),
      /[A-Z]{4}-\d+/.exec(await line.innerText())?.[0],
    ];
    // The newest first, however few are drawn; ARIA 1.2: aria-setsize counts all items, those not drawn included.
    expect(await place(lines.first())).toEqual(['1', '130', 'WICK-130']);
    expect(await lines.count()).toBeLessThan(60);
    await page.keyboard.press('End');
    await page.getByText('lot TARN-1', { exact: true }).waitFor();
    expect(await place(lines.last())).toEqual(['130', '130', 'TARN-1']);
    expect(errors).toEqual([]);
  });

  it('are searched by a lone slash, unless that was turned off or a field takes it', async () => {
    const { page, errors } = await open('/stock');
    const sheet = page.getByRole('dialog');
    await page.getByRole('searchbox').fill('');
    await page.keyboard.press('/');
    expect(await page.getByRole('searchbox').inputValue()).toBe('/');
    await page.getByRole('heading', { level: 1 }).click();
    // As fast as a scanner: a link holds slashes, and opens nothing.
    await page.evaluate("for (const key of 'h//x1') dispatchEvent(new KeyboardEvent('keydown', { key }))");
    await page.waitForTimeout(200);
    expect(await sheet.count()).toBe(0);
    await page.keyboard.press('/');
    await sheet.waitFor();
    await page.keyboard.type('(10)TARN-7');
    await sheet.getByRole('menuitem', { name: /TARN-7/ }).waitFor();
    await sheet.getByText('The / key opens this').click();
    await page.keyboard.press('Escape');
    await page.getByRole('heading', { level: 1 }).click();
    await page.keyboard.press('/');
    await page.waitForTimeout(200);
    expect(await sheet.count()).toBe(0);
    await page.keyboard.press('Control+k');
    await sheet.waitFor();
    expect(errors).toEqual([]);
  });
});
