import { beforeAll, expect, it } from '@jest/globals';
import type { PaperSheetListDto } from '../../src/contract/paper-sheets.dto.js';
import type { RunViewDto } from '../../src/contract/run-view.dto.js';
import { ContainerRow } from '../../src/store/rows/stock.entity.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { LABORATORY, PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { assessEverybody, furnish, type Furnished } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'Paper sheets in a browser', (chromiumPath) => {
  onPages(chromiumPath);

  let furnished: Furnished;

  beforeAll(async () => {
    furnished = await furnish(test);
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    await assessEverybody(test, furnished.protocol.id);
  });

  it('are numbered, entered with times by clock and stopwatch, and marked as entered afterwards', async () => {
    const { page, errors } = await openPage(
      await browser.newContext({ viewport: { width: 1280, height: 900 }, timezoneId: 'UTC' }),
    );
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.getByRole('link', { name: 'Paper', exact: true }).click();
    await page.getByLabel('Protocol').selectOption({ label: furnished.protocol.title });
    await page.getByRole('button', { name: 'Number them' }).click();
    await page.getByRole('link', { name: 'Sheet 1 (PDF)' }).first().waitFor();
    await page.getByRole('link', { name: 'Enter it: Sheet 1' }).click();

    const [core, dye] = await test.store.read(LABORATORY, async (view) => [
      (await view.need(SubjectRow, { id: furnished.core }, 'core')).label,
      (await view.need(ContainerRow, { id: furnished.containers['acridine-orange-working'] }, 'dye')).label,
    ]);
    // The page's clock keeps to the server's; the times on the sheet are a quarter of an hour old.
    const written = (ms: number): string =>
      new Date(Date.parse(test.clock.now()) - 900_000 + ms).toISOString().slice(0, 19);
    await page.getByRole('heading', { name: 'From paper sheet 1' }).waitFor();
    await page.getByLabel('When it began, as the sheet says').fill(written(0));
    await page.getByRole('combobox', { name: 'Station' }).fill('Ultrasound 1');
    await page.getByRole('textbox', { name: 'Scan or type a label' }).first().fill(core);
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Start the run' }).click();

    await page.getByRole('heading', { name: 'What stands on the sheet' }).waitFor();
    // No word on how sure the clock is, is not certainty.
    const sure = page.getByLabel('How far may a written time be off, in seconds?');
    await sure.fill('');
    await page.getByText('Some fields need mending.').waitFor();
    await sure.fill('2');
    await page.getByRole('textbox', { name: 'Label of a bottle or bath' }).fill(dye);
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: /^Take off: / }).waitFor();
    const [first, second] = furnished.protocol.steps;
    await page.getByLabel(`Start: ${first!.action}`).fill(written(5_000));
    await page.getByLabel(`End: ${first!.action}`).fill(written(25_000));
    await page.getByLabel(`Start: ${second!.action}`).fill(written(30_000));
    const lasted = page.getByRole('group', { name: second!.action }).getByLabel('or lasted, min:s');
    await lasted.fill('five');
    await page.getByText(/Write minutes and seconds/).waitFor();
    await lasted.fill('0:05');
    await page.reload();
    await lasted.waitFor();
    expect([await lasted.inputValue(), await sure.inputValue()]).toEqual(['0:05', '2']);
    await page.getByRole('button', { name: 'Enter it in the run' }).click();
    await page.getByText('The sheet is entered').first().waitFor();
    await page.waitForURL('**/?run=*');

    const technician = await test.as('technician');
    const { items } = (await technician.get<PaperSheetListDto>('/api/paper-sheets')).body;
    const { events } = (await technician.get<RunViewDto>(`/api/runs/${items[0]?.runId}`)).body;
    expect(events.map(({ kind }) => kind)).toEqual([
      'noted',
      'tray-scanned',
      'step-started',
      'step-ended',
      'step-started',
      'step-ended',
    ]);
    const [begun, ended] = events.slice(-2);
    expect(Number(ended?.stamp.monotonicMs) - Number(begun?.stamp.monotonicMs)).toBe(5_000);
    expect(ended?.stamp).toMatchObject({ late: true, readingUncertaintyMs: 1_000, uncertaintyMs: 3_000 });
    expect(errors).toEqual([]);
  });
});
