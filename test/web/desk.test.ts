import { beforeEach, expect, it } from '@jest/globals';
import type { Page } from 'playwright-core';
import { readFile } from 'node:fs/promises';
import { PersonRow } from '../../src/store/rows/people.entity.js';
import { RevisionActRow } from '../../src/store/rows/protocols.entity.js';
import { ContainerRow, LotActRow, LotRow } from '../../src/store/rows/stock.entity.js';
import { LABORATORY, PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

/** GTIN 09521234000884 of the prefix that GS1 keeps for examples, a lot and a serial whose separator was not sent. */
const TORN = ']d20109521234000884172803311' + '0LOT7' + '21SER77';

describeWith('chromium', 'The desk in a browser', (chromiumPath) => {
  onPages(chromiumPath, { each: true, realClock: true });

  let furnished: Furnished;

  beforeEach(async () => {
    furnished = await furnish(test, { now: new Date().toISOString() });
    await test.createPerson('isolde', ['director'], 'Isolde Fathomgate');
    await test.createPerson('marl', ['manager', 'technician'], 'Marl Dunewick');
    await test.createPerson('brindle', ['administrator'], 'Brindle Ashe');
  });

  async function open(login: string, path: string): Promise<{ page: Page; errors: string[] }> {
    const opened = await openPage(await browser.newContext({ viewport: { width: 1440, height: 900 } }));
    await signIn(opened.page, test.url, login, PASSWORD);
    await opened.page.goto(`${test.url}${path}`);
    return opened;
  }

  it('takes a shipped protocol from its open proposals to the director’s approval', async () => {
    const { page, errors } = await open('isolde', '/protocols');
    await page.getByRole('link', { name: 'Rapid Romanowsky stain (three jars), air-dried smear' }).click();
    // Without this approval is not even offered.
    await page.getByText(/Approval waits: \d+ figures are still proposals/).waitFor();
    expect(await page.getByRole('button', { name: 'Approve', exact: true }).count()).toBe(0);
    await page.getByRole('button', { name: 'Take all as shown' }).click();
    const longest = page.getByLabel('most').first();
    await longest.fill('soon');
    await page.getByText('Give a number.').waitFor();
    await longest.fill('90000');
    await page.getByLabel('Why these values').fill('Invented: after our verification.');
    await page.getByRole('button', { name: /^Keep \d+ figures as a new draft/ }).click();
    await page.getByRole('button', { name: 'Approve', exact: true }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByText('Approved for use in this laboratory').waitFor();
    await sheet.getByLabel('Verification record').fill('VER-OQ-009');
    await sheet.getByLabel('What it showed').fill('Invented: 10 smears, all as known.');
    await sheet.getByLabel('Your password, once more').fill('not the password');
    await sheet.getByRole('button', { name: 'Sign the approval' }).click();
    await sheet.getByRole('alert').filter({ hasText: 'Type it again' }).waitFor();
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign the approval' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await page.getByText('in force').first().waitFor();

    const approved = await test.store.read(LABORATORY, (view) => view.all(RevisionActRow, { kind: 'approved' }));
    expect(approved.map(({ data }) => [data.verification?.reference, data.signature?.name]).at(-1)).toEqual([
      'VER-OQ-009',
      'Isolde Fathomgate',
    ]);
    expect(errors).toEqual([]);
  });

  it('shows every fault of an uploaded file with its line', async () => {
    const good = await readFile(new URL('../../protocols/mgg.yaml', import.meta.url), 'utf8');
    const faulty = good.replace('setting: laboratory', 'setting: moon').replace('unit: min', 'unit: fortnight');
    const lineOf = (text: string): number => faulty.split('\n').findIndex((line) => line.includes(text)) + 1;
    const { page, errors } = await open('marl', '/protocols');
    await page.getByRole('button', { name: 'Upload a draft' }).click();
    await page.getByLabel('or paste it here').fill(faulty);
    await page.getByRole('button', { name: 'Read it and keep it as a draft' }).click();
    await page.getByText('2 things are wrong; nothing was kept').waitFor();
    await page.getByText(`line ${lineOf('moon')}, column`).waitFor();
    await page.getByText(`line ${lineOf('fortnight')}, column`).waitFor();
    expect(errors).toEqual([]);
  });

  it('receives a lot whose code lost its separator only by the print, then accepts and opens it', async () => {
    const { page, errors } = await open('marl', '/stock/receive');
    await page.getByRole('textbox', { name: 'Scan the code on the box or the bottle' }).fill(TORN);
    await page.keyboard.press('Enter');
    await page.getByText('The code may have been read wrongly').waitFor();
    const number = page.getByRole('textbox', { name: 'Lot number', exact: true });
    expect(await number.inputValue()).toBe('');
    await number.fill('LOT7');
    await page.getByLabel('Reagent').selectOption({ label: 'Xylene' });
    await page.getByLabel('Supplier').fill('Tidewater Reagents (invented)');
    const receive = page.getByRole('button', { name: 'Receive it' });
    expect(await receive.isDisabled()).toBe(true);
    await page.getByText('I compared lot number and expiry with the print').click();
    await receive.click();

    await page.getByRole('button', { name: 'Decide on this lot' }).click();
    await page.getByRole('textbox', { name: 'Why' }).fill('Invented: papers checked, test slide as expected.');
    await page.getByRole('button', { name: 'Record the decision' }).click();
    await page.getByRole('button', { name: /^Open: / }).click();
    await page.getByRole('button', { name: 'Record it' }).click();
    await page.getByText('may be used', { exact: true }).waitFor();

    const { lots, decisions, containers } = await test.store.read(LABORATORY, async (view) => ({
      lots: await view.all(LotRow, { number: 'LOT7' }),
      decisions: await view.all(LotActRow),
      containers: await view.all(ContainerRow),
    }));
    expect(lots.map(({ reagentCode, expiry, gtin }) => [reagentCode, expiry, gtin])).toEqual([
      ['xylene', '2028-03-31', '09521234000884'],
    ]);
    const [lot] = lots;
    expect(decisions.filter(({ lotId }) => lotId === lot?.id).map(({ standing }) => standing)).toEqual(['accepted']);
    expect(containers.filter(({ lotId }) => lotId === lot?.id)).toHaveLength(1);
    expect(errors).toEqual([]);
  });

  it('says a fault once, leads to what has to be mended, and takes a doubled press as one', async () => {
    const { page, errors } = await open('marl', '/stock/receive');
    await page.getByLabel('Reagent').selectOption({ label: 'Xylene' });
    await page.getByRole('textbox', { name: 'Lot number', exact: true }).fill('LOT8');
    await page.getByLabel('Supplier').fill('Tidewater Reagents (invented)');
    const expiry = page.getByRole('textbox', { name: 'Expiry' });
    await expiry.fill('31.03.2028');
    const receive = page.getByRole('button', { name: 'Receive it' });
    await receive.click();
    const note = page.getByRole('alert');
    await note.getByText('cannot be read as a date').waitFor();
    expect(await note.getByText('cannot be read as a date').count()).toBe(1);
    // What has to be mended has the focus.
    await expiry.and(page.locator(':focus')).waitFor();

    await expiry.fill('2028-03-31');
    await receive.dblclick();
    await page.getByRole('button', { name: 'Decide on this lot' }).waitFor();
    await page.locator('#content:focus').waitFor();
    const lots = await test.store.read(LABORATORY, (view) => view.all(LotRow, { number: 'LOT8' }));
    expect(lots).toHaveLength(1);
    expect(errors).toEqual([]);
  });

  it('reads the separator that a hand scanner sends as a control key', async () => {
    const { page, errors } = await open('marl', '/stock/receive');
    await page.getByRole('textbox', { name: 'Scan the code on the box or the bottle' }).focus();
    await page.keyboard.type('010952123400088410LOT7');
    // ASCII 29 as wedge scanners send it: Ctrl and ] (common practice, no source).
    await page.keyboard.press('Control+]');
    await page.keyboard.type('17280331');
    await page.keyboard.press('Enter');
    await page.locator('input[value="2028-03-31"]').waitFor();
    const number = page.getByRole('textbox', { name: 'Lot number', exact: true });
    expect(await number.inputValue()).toBe('LOT7');
    expect(errors).toEqual([]);
  });

  it('asks who it is again when the session ends in the middle of work, and keeps what was typed', async () => {
    const { page, errors } = await open('marl', '/stock/receive');
    await page.getByLabel('Supplier').fill('Tidewater Reagents (invented)');
    // An administrator sets the password anew, which ends every session of that person.
    const administrator = await test.signIn('brindle');
    const people = (await administrator.get<{ id: string; login: string }[]>('/api/people')).body;
    const marl = people.find(({ login }) => login === 'marl')?.id;
    expect((await administrator.patch(`/api/people/${marl}`, { password: PASSWORD })).status).toBe(200);
    await page.getByRole('textbox', { name: 'Scan the code on the box or the bottle' }).fill('SW1:C:NONE-00005');
    await page.keyboard.press('Enter');
    const sheet = page.getByRole('alertdialog', { name: 'Sign in again' });
    await sheet.getByLabel('Password').fill(PASSWORD);
    await page.keyboard.press('Enter');
    await sheet.waitFor({ state: 'hidden' });
    expect(await page.getByLabel('Supplier').inputValue()).toBe('Tidewater Reagents (invented)');
    expect(errors).toEqual([]);
  });

  it('keeps what a list was narrowed to in the address, without a step back for each key', async () => {
    const { page, errors } = await open('marl', '/stock');
    await page.goto(`${test.url}/stock/shelf`);
    await page.goto(`${test.url}/stock`);
    await page
      .getByRole('searchbox', { name: 'Find by reagent, lot or supplier' })
      .pressSequentially('no such reagent');
    await page.waitForURL('**/stock?find=no+such+reagent');
    await page.getByText(/^0 of \d+ shown$/).waitFor();
    await page.reload();
    await page.getByText(/^0 of \d+ shown$/).waitFor();
    await page.goBack();
    await page.waitForURL('**/stock/shelf');
    expect(errors).toEqual([]);
  });

  it('adds a person, shows a device’s token once, and finds both acts in the record', async () => {
    const { page, errors } = await open('brindle', '/people');
    await page.getByRole('button', { name: 'Add a person' }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('Name', { exact: true }).fill('Pim Driftwood');
    await sheet.getByLabel('Name for signing in').fill('Pim.Driftwood');
    await sheet.getByText('Reviewer', { exact: true }).click();
    await sheet.getByText('Technician', { exact: true }).click();
    await sheet.getByText('a reviewer reads the record and writes nothing in it').waitFor();
    await sheet.getByText('Reviewer', { exact: true }).click();
    await sheet.getByLabel('First password').fill('four words on the tide');
    await sheet.getByRole('button', { name: 'Add the account' }).click();
    await sheet.waitFor({ state: 'hidden' });

    await page.getByRole('button', { name: 'Dismiss' }).click();
    await page.getByRole('button', { name: 'Add a device' }).click();
    await sheet.getByLabel('Name', { exact: true }).fill('Slide scanner (invented)');
    await sheet.getByText('Technician', { exact: true }).click();
    await sheet.getByRole('button', { name: 'Make its token' }).click();
    await sheet.getByText('This is the only time that it is shown.').waitFor();
    const token = await sheet.locator('code').innerText();
    await sheet.getByRole('button', { name: 'It is in the device: close' }).click();
    const bench = await fetch(`${test.url}/api/bench`, { headers: { authorization: `Bearer ${token}` } });
    expect(bench.status).toBe(200);

    await page.getByRole('link', { name: 'Record' }).click();
    await page.getByText('device.added', { exact: true }).waitFor();
    await page.getByText('person.added', { exact: true }).first().waitFor();
    expect(await page.getByText(token).count()).toBe(0);
    const people = await test.store.read(LABORATORY, (view) => view.all(PersonRow, { login: 'pim.driftwood' }));
    expect(people.map(({ roles }) => roles)).toEqual([['technician']]);
    expect(errors).toEqual([]);
  });

  it('takes the signed word of the collector on a specimen that cannot be taken again', async () => {
    const run = await new Bench(test, await test.as('technician'), furnished).start();
    await test.createPerson('corvin', ['releaser'], 'Corvin Lanternquay');
    const { page, errors } = await open('corvin', `/release/${run}`);
    const finding = page.getByRole('listitem').filter({ hasText: 'identity-unconfirmed' });
    await finding.getByRole('button', { name: 'The collector attests whose it is' }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('How the collector knows').fill('I took this core myself and it never left my hand.');
    await sheet.getByLabel('Collector’s name for signing in').fill('isolde');
    const password = sheet.getByLabel('Collector’s password');
    await password.fill('not hers');
    await sheet.getByRole('button', { name: 'Sign as the collector' }).click();
    await sheet.getByText('Login and password do not fit; nothing was signed.').first().waitFor();
    expect(await page.evaluate('document.activeElement.type')).toBe('password');
    await password.fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign as the collector' }).click();
    await sheet.waitFor({ state: 'hidden' });
    const attested = page.getByRole('listitem').filter({ hasText: 'identity-attested' });
    await attested.getByText('Isolde Fathomgate').first().waitFor();
    expect(await finding.count()).toBe(0);
    expect(errors).toEqual([]);
  });
});
