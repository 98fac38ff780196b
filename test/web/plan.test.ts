import { beforeAll, expect, it } from '@jest/globals';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { Bench, furnish, type Furnished } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'The plan in a browser', (chromiumPath) => {
  onPages(chromiumPath);

  let furnished: Furnished;

  beforeAll(async () => {
    furnished = await furnish(test);
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
  });

  it('is asked for, accepted and followed at the bench by keyboard, and made again when the bench is behind', async () => {
    const { page, errors } = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.goto(`${test.url}/plan`);
    const press = async (name: string | RegExp): Promise<void> => {
      await page.getByRole('button', { name }).focus();
      await page.keyboard.press('Enter');
    };
    const { title } = furnished.protocol;
    await page.getByLabel('Protocol').selectOption({ label: title });
    await press('Add a run');
    await page.getByLabel('Protocol').nth(1).selectOption({ label: title });
    await press('Plan');
    await page.getByRole('heading', { name: 'Proposal' }).waitFor();
    await page.getByText(/^The last run ends at /).waitFor();
    const quarters = page.locator('.moments details');
    const [, count] =
      /(\d+) handlings?, hands for/.exec((await quarters.locator('summary').allTextContents())[0] ?? '') ?? [];
    expect(await quarters.first().getByRole('listitem').count()).toBe(Number(count));
    expect(await quarters.first().getAttribute('open')).not.toBeNull();
    expect(await page.locator('.moments details[open]').count()).toBe(1);
    await press('Accept this plan');
    await page.getByText(/^Accepted by Tansy Pebbleworth/).waitFor();

    // The run that is started takes the first place of the plan, and its steps the plan's times.
    const bench = new Bench(test, await test.as('technician'), furnished);
    test.clock.forward(1000);
    const run = await bench.start();
    await page.goto(test.url);
    const next = page.getByRole('region', { name: 'Next' });
    await next.getByText(/^planned for /).waitFor();
    await page.getByRole('listitem').filter({ hasText: 'start at' }).waitFor();

    const [first] = furnished.protocol.steps;
    await bench.must(run, 'step-started', { step: first!.id });
    test.clock.forward(30 * 60_000);
    await page.reload();
    await next.getByText('The bench is behind its plan.').waitFor();
    await next.getByRole('link', { name: 'Plan again' }).click();
    await page.getByRole('heading', { name: 'Plan of the bench' }).waitFor();
    await press('Plan');
    await page.getByRole('heading', { name: 'Proposal' }).waitFor();
    await page.getByText('on the bench').first().waitFor();
    await press('Accept this plan');
    await page.getByText('The plan is accepted.').first().waitFor();
    expect(errors).toEqual([]);
  });

  it('tells a fault beside its field, where it can be typed over, and by whose clock times are typed', async () => {
    const context = await browser.newContext({ timezoneId: 'America/Halifax' });
    const { page } = await openPage(context);
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.goto(`${test.url}/plan`);
    await page.getByText(/clock of this device \(America\/Halifax\)\. Pages show those of the laboratory \(/).waitFor();
    await page.getByLabel('Protocol').first().selectOption({ label: furnished.protocol.title });
    await page.getByRole('button', { name: 'Add a run' }).click();
    await page.getByRole('button', { name: 'Add a run' }).click();
    // The run between has no protocol and is not sent, so that the server counts otherwise than the page.
    await page.getByLabel('Protocol').last().selectOption({ label: furnished.protocol.title });
    const slides = page.getByLabel('Slides').last();
    await slides.fill('0');
    await page.getByRole('button', { name: 'Plan', exact: true }).click();
    const last = page.locator('fieldset').filter({ has: slides });
    await last.getByText('slides must not be less than 1; found 0').waitFor();
    expect(await page.getByText('must not be less than').count()).toBe(1);
    expect(await page.getByText('wanted.').count()).toBe(0);
    expect(await last.locator('input:focus').inputValue()).toBe('0');
    await page.keyboard.type('2');
    expect(await slides.inputValue()).toBe('2');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Proposal' }).waitFor();
  });
});
