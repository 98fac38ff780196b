import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn, untilIn } from '../support/browser.js';
import { Bench, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const BEAT_MS = 100;
/** So long after the end of the step nothing more is to be said. */
const AFTER_MS = 2_500;

/** Keeps each text that a live region comes to hold, and when; a timer is none (WAI-ARIA 1.2: its aria-live is off). */
const WATCH = `
  window.said = [];
  const live = '[aria-live]:not([aria-live=off]), [role=status], [role=alert], [role=log]';
  new MutationObserver((changes) => {
    const regions = new Set();
    for (const { target } of changes) {
      const region = (target.nodeType === Node.TEXT_NODE ? target.parentElement : target)?.closest(live);
      if (region) regions.add(region);
    }
    for (const region of regions) {
      const text = region.textContent.trim();
      if (text !== '') window.said.push({ text, atMs: performance.now() });
    }
  }).observe(document.body, { subtree: true, childList: true, characterData: true });
`;

describeWith('chromium', 'What a screen reader hears of running timers', (chromiumPath) => {
  onPages(chromiumPath);

  let ticking: ReturnType<typeof setInterval>;

  beforeAll(async () => {
    const furnished = await furnish(test);
    const bench = new Bench(test, await test.as('technician'), furnished);
    const run = await bench.start();
    const [receive] = furnished.protocol.steps;
    await bench.must(run, 'step-started', { step: receive!.id });
    test.clock.forward(5_000);
    await bench.must(run, 'step-ended', { step: receive!.id });
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    let last = performance.now();
    ticking = setInterval(() => {
      const now = performance.now();
      test.clock.forward(now - last);
      last = now;
    }, BEAT_MS);
  });
  afterAll(async () => {
    clearInterval(ticking);
  });

  // WCAG 2.2, 4.1.3: a change of standing is said without taking the focus; each moment once, and no second of a countdown.
  it('is each moment of a step once, and no countdown', async () => {
    const { page, errors } = await openPage(await browser.newContext());
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.getByRole('button', { name: 'Start', exact: true }).first().click();
    await page.getByRole('button', { name: 'End', exact: true }).first().waitFor();
    // The notice that it was started is said once and is not what is looked at here.
    await page.getByText('Rinse off blood: started').first().waitFor();
    await page.evaluate(WATCH);
    await untilIn(page, `window.said.some(({ text }) => text.includes('past its end'))`);
    await page.waitForTimeout(AFTER_MS);
    const said = (await page.evaluate('window.said')) as { text: string; atMs: number }[];
    const moments = said.filter(({ text }) => text.startsWith('Rinse off blood'));
    expect(moments.map(({ text }) => text.replace(/\s+/g, ' '))).toEqual([
      'Rinse off blood: may be ended from now',
      'Rinse off blood: time is up',
      expect.stringMatching(/^Rinse off blood: closing, \d+ s left$/),
      'Rinse off blood: past its end',
    ]);
    // Beside them, at most the notice that goes.
    expect(said.length - moments.length).toBeLessThanOrEqual(2);
    expect(errors).toEqual([]);
  });
});
