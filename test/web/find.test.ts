import { beforeAll, expect, it } from '@jest/globals';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { Bench, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'Finding from anywhere', (chromiumPath) => {
  onPages(chromiumPath);

  beforeAll(async () => {
    const furnished = await furnish(test);
    await new Bench(test, await test.as('technician'), furnished).start();
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
  });

  it('goes by keyboard alone to a specimen’s run and to a page', async () => {
    const { page, errors } = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.keyboard.press('Control+k');
    await page.getByRole('dialog', { name: 'Find' }).waitFor();
    await page.keyboard.type('qy-101');
    await page.getByRole('menuitem', { name: 'specimen QY-101' }).waitFor();
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('Enter');
    await page.waitForURL('**/release/*');
    await page.getByRole('heading', { name: 'Acridine orange, fresh tissue, single dye' }).first().waitFor();

    await page.keyboard.press('Control+k');
    await page.getByRole('searchbox').and(page.locator(':focus')).waitFor();
    await page.keyboard.type('instruments');
    await page.getByRole('menuitem', { name: 'Instruments' }).waitFor();
    await page.keyboard.press('ArrowDown');
    await page.keyboard.press('Enter');
    await page.waitForURL('**/controls/instruments');
    await page.getByRole('heading', { name: 'Instruments', level: 1 }).waitFor();
    await page.keyboard.press('Control+k');
    // Nothing is meant while nothing is written.
    await page.keyboard.press('Enter');
    await page.getByRole('dialog', { name: 'Find' }).waitFor();
    const answer = page.waitForResponse((each) => each.request().postData() === '{"text":"lookback"}');
    await page.keyboard.type('lookback');
    await answer;
    const meant = page.locator('[role=menuitem][data-focused]').filter({ hasText: 'or a lot was recalled' });
    for (let presses = 0; presses < 9 && (await meant.count()) === 0; presses += 1) {
      await page.keyboard.press('ArrowDown');
      await page.waitForTimeout(200);
    }
    await page.keyboard.press('Enter');
    await page.waitForURL('**/help?find=lookback');
    await page.getByText(/^1 of \d+ shown$/).waitFor();
    expect(errors).toEqual([]);
  });

  it('opens what was found when Enter comes before the answer, as from a scanner', async () => {
    const { page, errors } = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.route('**/api/find', async (route) => {
      await new Promise((done) => setTimeout(done, 700));
      await route.continue();
    });
    await page.keyboard.press('Control+k');
    await page.getByRole('dialog', { name: 'Find' }).waitFor();
    await page.keyboard.type('qy-101');
    await page.keyboard.press('Enter');
    await page.getByRole('menu', { name: 'What was found' }).getByText('Fetching…').waitFor();
    await page.waitForURL('**/release/*');
    await page.getByRole('dialog', { name: 'Find' }).waitFor({ state: 'hidden' });
    expect(errors).toEqual([]);
  });

  it('keeps what is typed while it is still coming, and nothing on the page is pressed by it', async () => {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, serviceWorkers: 'block' });
    const { page, errors } = await openPage(context);
    await signIn(page, test.url, 'tansy', PASSWORD);
    let letCome = (): void => undefined;
    const typed = new Promise<void>((done) => {
      letCome = done;
    });
    await page.route('**/FindSheet*.js', async (route) => {
      await typed;
      await route.continue();
    });
    await page.getByRole('link', { name: 'Help' }).focus();
    await page.keyboard.press('Control+k');
    await page.keyboard.type('qx-101');
    for (let n = 0; n < 'x-101'.length; n += 1) await page.keyboard.press('Backspace');
    await page.keyboard.type('y-101');
    await page.keyboard.press('Enter');
    letCome();
    await page.getByRole('menuitem', { name: 'specimen QY-101' }).waitFor();
    expect(await page.getByRole('searchbox').inputValue()).toBe('qy-101');
    expect(new URL(page.url()).pathname).toBe('/');
    await page.keyboard.press('Enter');
    await page.waitForURL('**/release/*');
    expect(errors).toEqual([]);
  });

  it('gives the keys back to the page when the field cannot come or is given up', async () => {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, serviceWorkers: 'block' });
    const { page, errors } = await openPage(context);
    await signIn(page, test.url, 'tansy', PASSWORD);
    let letFail = (): void => undefined;
    const asked = new Promise<void>((done) => {
      letFail = done;
    });
    await page.route('**/FindSheet*.js', async (route) => {
      await asked;
      await route.abort();
    });
    await page.keyboard.press('Control+k');
    await page.keyboard.type('qy');
    letFail();
    await page
      .getByRole('alert')
      .getByText(/^Finding could not be loaded/)
      .waitFor();
    await page.getByRole('link', { name: 'Help' }).focus();
    await page.keyboard.press('Enter');
    await page.waitForURL('**/help');

    await page.unroute('**/FindSheet*.js');
    let letCome = (): void => undefined;
    const givenUp = new Promise<void>((done) => {
      letCome = done;
    });
    await page.route('**/FindSheet*.js', async (route) => {
      await givenUp;
      await route.continue();
    });
    await page.keyboard.press('Control+k');
    await page.keyboard.press('Escape');
    letCome();
    await page.getByRole('link', { name: 'Bench' }).focus();
    await page.keyboard.press('Enter');
    await page.waitForURL(`${test.url}/`);
    expect(await page.getByRole('dialog').count()).toBe(0);
    await page.keyboard.press('Control+k');
    await page.getByRole('dialog', { name: 'Find' }).waitFor();
    expect(errors).toEqual([]);
  });
});
