import { beforeAll, expect, it } from '@jest/globals';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'Dates and numbers in a browser', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  beforeAll(async () => {
    await furnish(test, { now: new Date().toISOString() });
    await test.createPerson('marl', ['manager'], 'Marl Dunewick');
  });

  it('follow the browser until this device is given another way, and keep to that', async () => {
    const { page, errors } = await openPage(await browser.newContext({ locale: 'en-US' }));
    await signIn(page, test.url, 'marl', PASSWORD);
    await page.goto(`${test.url}/stock`);
    const american = page
      .getByRole('main')
      .getByText(/\b[A-Z][a-z]{2} \d{1,2}, \d{4}/)
      .first();
    // Dates of German in Unicode CLDR: 09.02.2026, and 9. Feb. 2026 with the month's name.
    const german = page
      .getByRole('main')
      .getByText(/\b\d{1,2}\.(\d{2}\.| \p{L}+\.? )\d{4}\b/u)
      .first();
    await american.waitFor();
    await page.getByText('Marl Dunewick', { exact: true }).click();
    const choice = page.getByLabel('Dates and numbers');
    expect(await choice.inputValue()).toBe('');
    for (const width of [390, 820, 1280, 1600]) {
      await page.setViewportSize({ width, height: 900 });
      const parts = await page.locator('.own-sheet *').all();
      const boxes = await Promise.all(parts.map((part) => part.boundingBox()));
      const beyond = boxes.filter((box) => box !== null && (box.x < 0 || box.x + box.width > width));
      expect([width, beyond]).toEqual([width, []]);
    }
    await choice.selectOption('de-DE');
    await german.waitFor();
    expect(await american.count()).toBe(0);
    await page.reload();
    await german.waitFor();
    await page.getByText('Marl Dunewick', { exact: true }).click();
    expect(await choice.inputValue()).toBe('de-DE');
    await choice.selectOption('');
    await american.waitFor();
    expect(errors).toEqual([]);
  });
});
