import { beforeAll, expect, it } from '@jest/globals';
import type { BrowserContext, Page } from 'playwright-core';
import { Api, overHttp } from '../../src/client.js';
import { PASSWORD, PEOPLE } from '../../src/demo/laboratory.js';
import { GUIDE } from '../../src/web/guide/words.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, demo, onDemo } from '../support/stage.js';

const PHONE = { width: 390, height: 844 };
const DESK = { width: 1280, height: 900 };

describeWith('chromium', 'A first hour in the invented laboratory', (chromiumPath) => {
  onDemo(chromiumPath);

  let context: BrowserContext;
  let page: Page;
  let errors: string[];

  beforeAll(async () => {
    context = await browser.newContext({ viewport: PHONE });
    ({ page, errors } = await openPage(context));
    await signIn(page, demo.url, PEOPLE.technician.login, PASSWORD);
  });

  const strip = () => page.getByRole('complementary', { name: 'First hour' });
  const label = (task: string): string => /SW1:[A-Z]:[A-Z0-9-]+/.exec(GUIDE.tasks[task]?.how ?? '')?.[0] ?? '';

  it('leads a technician to start a run by scan, and ticks it because it was started', async () => {
    await strip().getByText('0 of 6 done').waitFor();
    const [above, content] = await Promise.all([strip().boundingBox(), page.getByRole('main').boundingBox()]);
    expect((above?.y ?? 0) + (above?.height ?? 0)).toBeLessThanOrEqual(content?.y ?? 0);
    // WCAG 2.2, 1.4.10 (reflow): nothing of it makes the page scroll sideways.
    expect(await page.evaluate('document.documentElement.scrollWidth <= innerWidth')).toBe(true);

    await page.setViewportSize(DESK);
    await strip().getByRole('link', { name: 'Go there' }).press('Enter');
    await page.getByRole('heading', { name: 'New run' }).waitFor();
    await page.getByText('Acridine orange, fresh tissue, single dye').click();
    await page.getByRole('combobox', { name: 'Station' }).fill('Ultrasound 1');
    await page.keyboard.press('Tab');
    const subjects = page.getByRole('textbox', { name: 'Scan or type a label' });
    await subjects.first().fill(label('start-run'));
    await page.keyboard.press('Enter');
    await page.getByText('core, thyroid nodule, right').waitFor();
    await page.getByRole('button', { name: 'Confirm identity' }).click();
    await page.getByText('I compared two identifiers, and both fit.').click();
    await page.getByRole('button', { name: 'Confirm', exact: true }).click();
    for (const control of ['positive', 'negative', 'autofluorescence']) {
      const item = page.getByRole('listitem').filter({ has: page.getByText(control, { exact: true }) });
      await item.getByRole('button', { name: 'Register a new one' }).click();
      await page.getByRole('dialog').getByRole('button', { name: 'Register', exact: true }).click();
      await page.getByRole('dialog').waitFor({ state: 'hidden' });
    }
    await page.getByRole('button', { name: 'Start the run' }).click();
    await strip().getByText('1 of 6 done').waitFor();
    await strip().getByRole('status').getByText('Put a bottle on the tray').waitFor();
    expect(errors).toEqual([]);
  });

  it('names bottles that are there, and counts a page that was opened on this device', async () => {
    const tansy = await Api.signIn(overHttp(demo.url), PEOPLE.technician.login, PASSWORD);
    const { kind, message } = await tansy.post<{ kind: string; message: string }>('/scan', { text: label('set-tray') });
    expect([kind, message]).toEqual(['container', expect.stringContaining('Acridine orange working solution')]);
    await page.goto(`${demo.url}/plan`);
    await strip().getByText('2 of 6 done').waitFor();
  });

  it('is put away by keyboard, stays away, and comes back from the help page, which tells the words', async () => {
    await strip().getByRole('button', { name: 'Put away' }).press('Enter');
    await strip().waitFor({ state: 'hidden' });
    expect(await page.evaluate('document.activeElement?.id')).toBe('content');
    await page.goto(`${demo.url}/stock`);
    await page.getByRole('heading', { name: 'Stock', level: 1 }).waitFor();
    await page.getByRole('link', { name: 'Help', exact: true }).click();
    await page.getByRole('heading', { name: 'Help', level: 1 }).waitFor();
    await page.getByRole('searchbox', { name: 'Find a word' }).fill('lookback');
    await page.getByText(/^What must be looked at again/).waitFor();
    await page.getByText(/^1 of \d+ shown$/).waitFor();
    await page.getByRole('button', { name: 'Bring the line back' }).click();
    await strip().getByText('2 of 6 done').waitFor();

    // Another person on the same device has a first hour of their own.
    await page.getByText(PEOPLE.technician.name).first().click();
    await page.getByRole('button', { name: 'Sign out' }).click();
    await signIn(page, demo.url, PEOPLE.reviewer.login, PASSWORD);
    await strip()
      .getByText(/of 5 done/)
      .waitFor();
    expect(errors).toEqual([]);
  });
});
