import { beforeAll, expect, it } from '@jest/globals';
import type { BrowserContextOptions } from 'playwright-core';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { Bench, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

/** Of each shape that is nothing but its fill, whether it stands out from its ground; runs in the page. */
const DRAWN = `[...document.querySelectorAll('.ahead-start, .ahead-eye, .ruler-needle')].map((shape) =>
  getComputedStyle(shape).backgroundColor !== getComputedStyle(shape.closest('section, main')).backgroundColor)`;

describeWith('chromium', 'The bench for everyone', (chromiumPath) => {
  onPages(chromiumPath);

  beforeAll(async () => {
    const furnished = await furnish(test);
    const bench = new Bench(test, await test.as('technician'), furnished);
    // The axis is there from two racks on.
    for (const run of [await bench.start(), await bench.start()]) {
      await bench.must(run, 'step-started', { step: furnished.protocol.steps[0]!.id });
    }
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
  });

  async function atTheBench(options: BrowserContextOptions) {
    const opened = await openPage(await browser.newContext(options));
    await signIn(opened.page, test.url, 'tansy', PASSWORD);
    await opened.page.getByRole('region', { name: 'What lies ahead' }).waitFor();
    return opened;
  }

  // The dialog pattern of the ARIA Authoring Practices, and WCAG 2.2, 2.4.3: it takes the focus, keeps it while it is
  // open, is left by Escape (2.1.2), and gives the focus back.
  it('gives a dialog the focus and has it back', async () => {
    const { page, errors } = await atTheBench({});
    await page.locator('.run-line').first().click();
    const opener = page.getByRole('button', { name: 'Write a note' });
    await opener.focus();
    await page.keyboard.press('Enter');
    const dialog = page.getByRole('dialog', { name: 'A note in this run' });
    await dialog.waitFor();
    const holds = () => page.evaluate<boolean>(`document.querySelector('[role=dialog]').matches(':focus-within')`);
    for (let stop = 0; stop < 8; stop++) {
      expect(await holds()).toBe(true);
      await page.keyboard.press('Tab');
    }
    await page.keyboard.press('Escape');
    await dialog.waitFor({ state: 'detached' });
    await page.locator('button:focus', { hasText: 'Write a note' }).waitFor();
    expect(errors).toEqual([]);
  });

  // WCAG 2.2, 3.2.1: a key that was meant for a link must not press the act that came to the page meanwhile.
  it('gives the next act the focus as the bench comes, unless somebody has gone on to something else', async () => {
    const { page, errors } = await openPage(await browser.newContext({ serviceWorkers: 'block' }));
    let come = (): void => undefined;
    const coming = new Promise<void>((resolve) => (come = resolve));
    const asked = page.waitForRequest('**/api/bench*');
    await page.route('**/api/bench*', async (route) => {
      await coming;
      await route.continue();
    });
    const act = page.locator('#next-act');
    await signIn(page, test.url, 'tansy', PASSWORD);
    const help = page.getByRole('link', { name: 'Help', exact: true });
    await help.focus();
    await asked;
    come();
    await act.waitFor();
    expect(await help.and(page.locator(':focus')).count()).toBe(1);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Help', level: 1 }).waitFor();

    await page.getByRole('link', { name: 'Bench', exact: true }).click();
    await act.and(page.locator(':focus')).waitFor();
    await page.reload();
    await act.and(page.locator(':focus')).waitFor();
    expect(errors).toEqual([]);
  });

  // WCAG 2.2, 1.1.1 and 2.1.1: what the axis draws is there in words, by the keyboard, in the order of time.
  it('says its axis in words', async () => {
    const { page } = await atTheBench({});
    const summary = page.getByText('The axis in words');
    await summary.focus();
    await page.keyboard.press('Enter');
    const lines = page.locator('.ahead-words li');
    await lines.first().waitFor();
    const texts = await lines.allTextContents();
    expect(texts[0]).toMatch(/^\d\d:\d\d:\d\d end of Receive \(Ultrasound 1\), allowed until \d/);
    expect(texts).toEqual([...texts].sort((a, b) => a.slice(0, 8).localeCompare(b.slice(0, 8))));
    await page.keyboard.press('Enter');
    await lines.first().waitFor({ state: 'detached' });
  });

  // CSS Color Adjustment 1, forced colours: fills and shadows go, so a shape must be drawn in a colour of the system.
  it('keeps its shapes where the system sets all colours, and does not move where less motion is asked', async () => {
    const { page } = await atTheBench({ forcedColors: 'active', reducedMotion: 'reduce' });
    const drawn = await page.evaluate<boolean[]>(DRAWN);
    expect(drawn.length).toBeGreaterThan(0);
    expect(drawn).not.toContain(false);
    const moving = await page.evaluate<number>('document.getAnimations().length');
    expect(moving).toBe(0);
  });
});
