import { beforeAll, expect, it } from '@jest/globals';
import type { Page } from 'playwright-core';
import type { RunListDto } from '../../src/contract/run-view.dto.js';
import { ContainerRow } from '../../src/store/rows/stock.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { openPage, scan, signIn, untilIn } from '../support/browser.js';
import { assessEverybody, furnish, type Furnished } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'Starting a run', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  let tansy: Client;
  let furnished: Furnished;
  let page: Page;
  let errors: string[];
  let labels: Map<string, string>;

  beforeAll(async () => {
    furnished = await furnish(test, { now: new Date().toISOString() });
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    await assessEverybody(test, furnished.protocol.id);
    tansy = await test.signIn('tansy');
    labels = new Map(
      await test.store.read(LABORATORY, async (view) =>
        [...(await view.all(ContainerRow)), ...(await view.all(SubjectRow))].map(({ id, label }): [string, string] => [
          id,
          label,
        ]),
      ),
    );
    // A tablet, on which the page is longer than the screen.
    ({ page, errors } = await openPage(await browser.newContext({ viewport: { width: 820, height: 900 } })));
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.getByRole('link', { name: 'New run' }).click();
    await page.getByRole('heading', { name: 'New run' }).waitFor();
  });

  const label = (id: string | undefined): string => labels.get(id ?? '') ?? '';
  const shown = (id: string | undefined): string => label(id).split(':').at(-1) ?? '';
  const stained = () => page.locator('section').filter({ has: page.getByRole('heading', { name: 'What is stained' }) });

  it('shows what is scanned before the protocol is chosen, and every one of several that follow at once', async () => {
    const second = await tansy.post<{ id: string; label: string }>('/api/subjects', {
      kind: 'specimen',
      description: 'core, invented, right',
      irreplaceable: true,
    });
    labels.set(second.body.id, second.body.label);
    await scan(page, label(furnished.core));
    await scan(page, second.body.label);
    await stained().getByText(shown(furnished.core)).waitFor();
    await stained().getByText(shown(second.body.id)).waitFor();
    await page.getByText(/Still missing: the protocol/).waitFor();
  });

  it('says of what belongs elsewhere where it belongs, and of a label that is typed wrongly what is wrong', async () => {
    await page.getByText('Acridine orange, fresh tissue, single dye').click();
    const field = stained().getByRole('textbox', { name: 'Scan or type a label' });
    const said = stained().locator('.field-error');
    await field.fill(label(furnished.containers['acridine-orange-working']));
    await field.press('Enter');
    await said.getByText(/goes on the tray once the run is started/).waitFor();
    await field.fill(`${label(furnished.core).slice(0, -1)}#`);
    await field.press('Enter');
    await said.getByText(/check character .* does not fit/).waitFor();
    // What was said before does not stand in the way of what is wrong now.
    await field.fill('x'.repeat(501));
    await field.press('Enter');
    await said.getByText(/500 characters/).waitFor();
  });

  it('keeps the place of whoever works by keys when a button has done its work', async () => {
    await stained().getByRole('button', { name: 'Confirm identity' }).first().click();
    await page.getByText('I compared two identifiers, and both fit.').click();
    await page.getByRole('button', { name: 'Confirm', exact: true }).click();
    await page.locator('#content :focus').waitFor();
    await page.keyboard.press('Tab');
    expect(await page.evaluate('document.activeElement.textContent')).toBe('Take off');
  });

  it('starts one run however often the button is pressed, and opens the bench where it can be read', async () => {
    await page.getByRole('combobox', { name: 'Station' }).fill('Ultrasound 1');
    await page.getByRole('button', { name: 'Start the run' }).dblclick();
    const panel = page.getByRole('article', { name: 'Acridine orange, fresh tissue, single dye' });
    await panel.getByRole('heading', { level: 2 }).waitFor();
    await untilIn(
      page,
      `(() => {
      const heading = document.querySelector('article.run h2').getBoundingClientRect();
      const strip = document.querySelector('.next').getBoundingClientRect();
      return heading.top >= strip.bottom && heading.bottom <= innerHeight;
    })()`,
    );
    const { items } = (await tansy.get<RunListDto>('/api/runs')).body;
    expect(items).toHaveLength(1);
    expect(errors).toEqual([]);
  });

  it('tells of a specimen on which other run it stands and how far that is, and starts the next all the same', async () => {
    await page.goto(`${test.url}/runs/new`);
    await page.getByRole('heading', { name: 'New run' }).waitFor();
    await page.getByText('Acridine orange, fresh tissue, single dye').click();
    await scan(page, label(furnished.core));
    const told = stained().getByText(
      /^Stands on another run too: Acridine orange, fresh tissue, single dye, Ultrasound 1/,
    );
    await told.waitFor();
    expect(await told.textContent()).toMatch(/started at \d\d:\d\d\. 0 of its \d+ steps are done\.$/);
    expect(await page.getByRole('button', { name: 'Start the run' }).isEnabled()).toBe(true);
    await stained().getByRole('button', { name: 'Take off' }).click();
    await told.waitFor({ state: 'detached' });
  });

  it('is told in the room, and nothing is said there before it is known', async () => {
    const room = await page.context().newPage();
    let answer = (): void => undefined;
    const asked = new Promise<void>((resolve) => (answer = resolve));
    await room.route('**/api/bench', async (route) => {
      await asked;
      await route.continue();
    });
    await room.goto(`${test.url}/room/Ultrasound%201`);
    await room.locator('.room').waitFor({ state: 'attached' });
    expect(await room.locator('.room').textContent()).toBe('');
    answer();
    await room.getByRole('heading', { name: 'In progress' }).waitFor();
    await room.close();
  });
});
