import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { beforeAll, expect, it } from '@jest/globals';
import type { Page } from 'playwright-core';
import type { ProtocolSummaryDto, RevisionDto } from '../../src/contract/protocols.dto.js';
import { PASSWORD } from '../support/app.js';
import { openPage, signIn, untilIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

describeWith('chromium', 'Writing a protocol in a browser', (chromiumPath) => {
  onPages(chromiumPath);

  beforeAll(async () => {
    await test.createPerson('marl', ['manager'], 'Marl Thistlewood');
  });

  async function open(path: string): Promise<{ page: Page; errors: string[] }> {
    const opened = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(opened.page, test.url, 'marl', PASSWORD);
    await opened.page.goto(`${test.url}${path}`);
    return opened;
  }

  async function revisions(id: string): Promise<RevisionDto[]> {
    const client = await test.signIn('marl');
    const { body } = await client.get<ProtocolSummaryDto[]>('/api/protocols');
    const known = body.find((each) => each.id === id)?.revisions ?? [];
    return Promise.all(known.map(async (each) => (await client.get<RevisionDto>(`/api/revisions/${each.id}`)).body));
  }

  it('mends what is found while it is written, moves steps by keyboard, outlives a reload and becomes a draft', async () => {
    const [base] = (await revisions('ao-fresh')) as [RevisionDto];
    const { page, errors } = await open(`/protocols/${base.id}`);
    await page.getByRole('link', { name: 'Edit as a new draft' }).click();
    const status = page.getByRole('region', { name: 'What is to be mended' });
    await status.getByText('Nothing is wrong with it.').waitFor();
    expect(await page.getByText('Nothing is different yet.').count()).toBe(1);

    const second = page.getByRole('listitem').filter({ has: page.getByText('Step 2', { exact: true }) });
    await second.locator('summary').focus();
    await page.keyboard.press('Enter');
    await second.getByLabel('Target', { exact: true }).fill('1O');
    await status.getByText('1 thing is to be mended').waitFor();
    await second.getByText('found the text "1O"').waitFor();
    await page.reload();
    await page.getByText('Taken up where it was left on this device.').waitFor();
    await status.getByRole('button').click();
    await untilIn(page, `document.activeElement.value === '1O'`);
    await page.keyboard.press('Control+a');
    await page.keyboard.type('8');
    await status.getByText('Nothing is wrong with it.').waitFor();

    await page.getByRole('button', { name: 'Move Step 4 up' }).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Add after Step 5' }).press('Enter');
    const added = page.getByRole('listitem').filter({ has: page.getByText('Step 6', { exact: true }) });
    await added.getByLabel('What is done').fill('Drain on a lint-free pad');
    await added.getByLabel('Vessel').fill('pad');
    await added.getByLabel('Target', { exact: true }).fill('3,5');
    await status.getByText('Nothing is wrong with it.').waitFor();
    await page.getByRole('button', { name: 'Add after Step 6' }).press('Enter');
    await page.getByRole('button', { name: 'Remove Step 7' }).press('Enter');
    await page.getByRole('dialog', { name: 'Remove Step 7' }).getByRole('button', { name: 'Remove' }).press('Enter');
    await status.getByText('Nothing is wrong with it.').waitFor();

    await page.getByRole('button', { name: 'Add a caution' }).press('Enter');
    const caution = page.locator(`#draft-cautions-${base.content.cautions.length}`);
    await caution.getByLabel('What it warns of').fill('drained dye (invented)');
    await caution.getByLabel('Hazard codes').fill('H319, corrosive');
    await caution.getByLabel('Source', { exact: true }).fill('clp');
    await caution.getByText('"corrosive" is no GHS hazard code').waitFor();
    await status.getByRole('button').click();
    await page.locator('input:focus[value="H319, corrosive"]').waitFor();
    await caution.getByLabel('Hazard codes').fill('H319');
    await page.getByRole('button', { name: 'Add how something is kept' }).press('Enter');
    await page.getByLabel('What is kept, how and how long').last().fill('The pad is burnt after each core.');
    await page.getByLabel('Slides at most').fill('40');
    await status.getByText('Nothing is wrong with it.').waitFor();
    await page.evaluate(axe);
    const found = await page.evaluate(() =>
      (globalThis as unknown as { axe: { run: () => Promise<{ violations: { id: string }[] }> } }).axe.run(),
    );
    expect(found.violations.map(({ id }) => id)).toEqual([]);

    await page.getByLabel('Why', { exact: true }).last().fill('Tried on ten cores (invented)');
    await page.getByRole('button', { name: 'Keep as a draft' }).click();
    await page.waitForURL((url) => /^\/protocols\/[^/]+$/.test(url.pathname) && !url.pathname.includes(base.id));
    const [draft] = (await revisions('ao-fresh')) as [RevisionDto];
    const was = base.content.steps;
    const ids = was.map(({ id }) => id);
    expect(draft.basedOn).toBe(base.id);
    expect(draft.content.steps.map(({ id }) => id)).toEqual([
      ids[0],
      ids[1],
      ids[3],
      ids[2],
      ids[4],
      'drain-on-a-lint-free-pad',
      ...ids.slice(5),
    ]);
    expect(draft.content.steps[1]?.time).toEqual({
      ...was[1]?.time,
      target: 8,
      status: 'set by this laboratory',
    });
    expect(draft.content.steps[5]?.time).toMatchObject({ target: 3.5, unit: 's', status: 'set by this laboratory' });
    expect(draft.content.cautions).toEqual([
      ...base.content.cautions,
      { agent: 'drained dye (invented)', codes: ['H319'], signal: 'Warning', source: 'clp' },
    ]);
    expect(draft.content.storage?.at(-1)).toEqual({
      text: 'The pad is burnt after each core.',
      status: 'set by this laboratory',
    });
    expect(draft.content.change).toEqual({ ...base.content.change, maxSlides: 40, status: 'set by this laboratory' });
    expect(draft.content.fitness).toEqual(base.content.fitness);
    await page.goto(`${test.url}/protocols/${base.id}/compare/${draft.id}`);
    await page.getByText('Both on an axis of the same length.').waitFor();
    expect(await page.getByRole('figure').count()).toBe(2);
    expect(await page.getByText('Drain on a lint-free pad').count()).toBe(2);
    // What was kept on the device went with the draft.
    await page.goto(`${test.url}/protocols/${base.id}/edit`);
    await page.getByText('Nothing is different yet.').waitFor();
    expect(errors).toEqual([]);
  });

  it('begins with nothing, says what is missing, and can be thrown away', async () => {
    const { page, errors } = await open('/protocols/new');
    const status = page.getByRole('region', { name: 'What is to be mended' });
    await status.getByText(/things are to be mended/).waitFor();
    await page.getByLabel('Title', { exact: true }).fill('Quick blue (invented)');
    expect(await page.getByLabel('Id', { exact: true }).inputValue()).toBe('quick-blue-invented');
    expect(await page.getByRole('button', { name: 'Keep as a draft' }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: 'Throw it away' }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Throw it away' }).click();
    expect(await page.getByLabel('Title', { exact: true }).inputValue()).toBe('');
    expect(errors).toEqual([]);
  });
});
