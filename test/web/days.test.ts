import { expect, it } from '@jest/globals';
import type { Locator, Page } from 'playwright-core';
import { LABORATORY, PASSWORD, PEOPLE } from '../../src/demo/laboratory.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, demo, onDemo } from '../support/stage.js';

const BOUNCE_MS = 900;

/** One day of the invented laboratory, as four of its people see it one after the other; the reviewer's is a test of its own. */
describeWith('chromium', 'A day in a browser', (chromiumPath) => {
  onDemo(chromiumPath);

  async function as(who: keyof typeof PEOPLE): Promise<{ page: Page; errors: string[] }> {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
    const opened = await openPage(context);
    await signIn(opened.page, demo.url, PEOPLE[who].login, PASSWORD);
    return opened;
  }

  /** By the laboratory's calendar. */
  const today = (): string => new Intl.DateTimeFormat('en-CA', { timeZone: LABORATORY.zone }).format(new Date());
  const go = (page: Page, section: string): Promise<void> =>
    page.getByRole('navigation', { name: 'Screens' }).getByRole('link', { name: section, exact: true }).click();
  const within = (page: Page, name: string): Promise<void> =>
    page.getByRole('main').getByRole('link', { name, exact: true }).first().click();

  it('of the technician: undone at once, the network lost in the middle of a step, a note for who comes next', async () => {
    const { page, errors } = await as('technician');
    await page.getByRole('button', { name: /^Acridine orange, fresh tissue, single dye/ }).click();
    const next = page.getByRole('region', { name: 'Next' });
    const start = (): Promise<void> => page.getByRole('button', { name: 'Start', exact: true }).last().click();
    await start();
    await next.getByRole('heading', { name: 'End: Receive' }).waitFor();
    await page.getByRole('status').getByRole('button', { name: 'Undo', exact: true }).click();
    await next.getByRole('heading', { name: 'End: Receive' }).waitFor({ state: 'hidden' });
    await page.waitForTimeout(BOUNCE_MS);
    await start();
    await next.getByRole('heading', { name: 'End: Receive' }).waitFor();

    await page.context().setOffline(true);
    await page.waitForTimeout(BOUNCE_MS);
    await next.getByRole('button', { name: 'End', exact: true }).click();
    await page.getByText('1 entry is on this device only').waitFor();
    // What is sent at once needs no word.
    await page.waitForTimeout(1_500);
    await page.context().setOffline(false);
    await page.getByText(/^All sent at /).waitFor();

    await page.goto(`${demo.url}/hand-over`);
    await page.getByText('Start: Rinse off blood').waitFor();
    await page.getByLabel('For whoever takes over').fill('Invented: the saline at Ultrasound 1 is nearly empty.');
    await page.getByRole('button', { name: 'Leave the note' }).click();
    await page.getByRole('listitem').filter({ hasText: 'saline at Ultrasound 1 is nearly empty' }).waitFor();
    expect(errors).toEqual([]);
  });

  it('of the releaser: what waits is signed and amended, what is held says why and leaves by two hands alone', async () => {
    const { page, errors } = await as('pathologist');
    const open = async (slide: string): Promise<void> => {
      await go(page, 'Release');
      const line = page.getByRole('listitem').filter({ hasText: slide }).first();
      await line.getByRole('link', { name: 'H&E, Harris haematoxylin, regressive', exact: true }).click();
    };
    await open('TARN-972E');
    await page.getByText('The gate found nothing that speaks against this run.').waitFor();
    await page.getByRole('button', { name: 'Release', exact: true }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByText('Stained material', { exact: true }).click();
    await sheet.getByLabel('Words').fill('Stained material stands.');
    await sheet.getByLabel('Your password, once more').fill('not the password');
    await sheet.getByRole('button', { name: 'Sign and release' }).click();
    await sheet.getByRole('alert').waitFor();
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign and release' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await page.getByRole('button', { name: 'Release', exact: true }).waitFor({ state: 'hidden' });
    await page.getByRole('button', { name: 'Amend it' }).first().click();
    await sheet.getByLabel(/^Words/).fill('Invented: stained material stands; the coverslip was mounted anew.');
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign and release' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await page.getByText('amended', { exact: true }).first().waitFor();
    await page.getByText('the coverslip was mounted anew').first().waitFor();

    await open('TARN-981C');
    await page.getByText('Stain nuclei was too long.').first().waitFor();
    await page.getByText('8 min').first().waitFor();
    const report = await page.getByRole('link', { name: 'Report (PDF)' }).getAttribute('href');
    const printed = await page.request.get(`${demo.url}${report}`);
    expect([printed.status(), printed.headers()['content-type']]).toEqual([200, 'application/pdf']);
    await page.getByRole('button', { name: 'Release by exception' }).click();
    await sheet.getByText('Stained material', { exact: true }).click();
    await sheet.getByLabel('Why it may go out all the same').fill('Invented: nuclei are dark but readable.');
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByLabel('Name for signing in').fill(PEOPLE.pathologist.login);
    await sheet.getByLabel('That person’s password').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign and release' }).click();
    // One person is not two.
    await sheet.getByRole('alert').waitFor();
    await sheet.getByLabel('Name for signing in').fill(PEOPLE.director.login);
    await sheet.getByRole('button', { name: 'Sign and release' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await page.getByText('Invented: nuclei are dark but readable.').waitFor();
    expect(errors).toEqual([]);
  });

  it('of a new lot: compared on the same material by keyboard alone, and accepted by a signature', async () => {
    const { page, errors } = await as('manager');
    await go(page, 'Controls');
    await within(page, 'New lots');
    const open = page.getByRole('listitem').filter({ hasText: 'nuclear signal to background' });
    const number = /^Lot (\S+) against/.exec(await open.getByRole('link').innerText())?.[1] ?? 'none';
    await open.getByRole('link').click();
    const planned = /(\d+) of (\d+) pairs/.exec(await page.getByText(/^\d+ of \d+ pairs$/).innerText());
    const [counted, whole] = [Number(planned?.[1]), Number(planned?.[2])];
    expect([counted, whole > counted]).toEqual([4, true]);
    await page.getByLabel('Block or slide').focus();
    for (let n = counted + 1; n <= whole; n += 1) {
      const value = 5 + (n % 4) / 2;
      for (const text of [`invented trim ${n}`, value.toFixed(1), (value + (n % 2 ? 0.2 : -0.2)).toFixed(1)]) {
        await page.keyboard.type(text);
        await page.keyboard.press('Tab');
      }
      await page.keyboard.press('Enter');
      await page.getByText(`${n} of ${whole} pairs`, { exact: true }).waitFor();
    }
    const sheet = page.getByRole('dialog');
    await page.getByRole('button', { name: 'Decide and sign' }).click();
    await sheet.getByText('Accept the lot').click();
    await sheet.getByLabel('Why', { exact: true }).fill('Invented: a fifth of a unit apart, within what was planned.');
    // The plan was kept, so nothing has to be said about leaving it.
    expect(await sheet.getByLabel('Why the plan is left').count()).toBe(0);
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign the decision' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await page.getByRole('heading', { name: 'Decision' }).waitFor();

    await go(page, 'Stock');
    await page.getByRole('searchbox').fill(number);
    await page.getByText('accepted', { exact: true }).first().waitFor();
    await go(page, 'Controls');
    await within(page, 'Results');
    // Which lot made pale slides.
    await page.getByLabel('Show', { exact: true }).selectOption({ label: 'by lot' });
    await page.getByText('made paler slides').waitFor();
    const poor = page
      .getByRole('row')
      .filter({ hasText: 'Harris haematoxylin' })
      .filter({ hasText: /\d poor/ });
    await poor.first().getByRole('link').waitFor();
    expect(errors).toEqual([]);
  });

  it('of the manager: what runs short is ordered, a delivery taken in, cover looked up, a lot recalled with all it touched', async () => {
    const { page, errors } = await as('manager');
    const sheet = page.getByRole('dialog');
    await go(page, 'Stock');
    await within(page, 'Outlook');
    await page.getByText('order is late').first().waitFor();
    await within(page, 'Orders');
    await page.getByRole('button', { name: /^Draft the order to Tidewater/ }).click();
    await page.getByRole('button', { name: 'Approve', exact: true }).click();
    await sheet.getByRole('button', { name: 'Approve', exact: true }).click();
    await page.getByRole('link', { name: 'Letter (PDF)' }).waitFor();

    await within(page, 'Orders');
    await page.getByRole('link', { name: /2026-0002/ }).click();
    await page.getByRole('button', { name: /^Receive/ }).click();
    await sheet.getByLabel('Lot number').fill('NBF-88');
    await sheet.getByLabel('Expiry').fill('2028-03-31');
    await sheet.getByLabel('Containers').fill('2');
    await sheet.getByRole('button', { name: 'Take it in', exact: true }).click();
    await sheet.waitFor({ state: 'hidden' });
    await within(page, 'Lots');
    await page.getByRole('searchbox').fill('NBF-88');
    await page.getByText('waits for a decision', { exact: true }).waitFor();
    const file = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Export' }).click();
    await page.getByRole('menuitem', { name: 'What is shown, as CSV' }).click();
    expect((await file).suggestedFilename()).toMatch(/\.csv$/);

    await go(page, 'People');
    await within(page, 'Competence');
    await page.getByText('Tansy Pebbleworth, Marl Dunewick').waitFor();

    await go(page, 'Stock');
    await within(page, 'Recalls');
    await page.getByRole('button', { name: 'Start a recall' }).click();
    await sheet.getByRole('textbox').first().fill('TW-26-02');
    await sheet.getByRole('button', { name: 'Look', exact: true }).click();
    await sheet.getByLabel('Why').fill('Invented: the maker found the dye weaker than stated.');
    await sheet.getByLabel('The notice').fill('Notice 14 (invented)');
    await sheet.getByRole('button', { name: 'Recall it' }).click();
    await page.getByRole('heading', { name: /lot TW-26-02/ }).waitFor();
    await page.getByText('People to tell').waitFor();
    await page
      .getByRole('link', { name: PEOPLE.technician.name })
      .or(page.getByText(PEOPLE.technician.name))
      .first()
      .waitFor();
    expect(errors).toEqual([]);
  });

  it('of the director: what is in question stands by two signatures, a stricter rule is signed, and both stand in the record', async () => {
    const { page, errors } = await as('director');
    const sheet = page.getByRole('dialog');
    await go(page, 'Release');
    await within(page, 'Second looks');
    await page.getByRole('button', { name: 'It stands after all' }).click();
    await sheet.getByLabel('Why it stands all the same').fill('Invented: two of us read it again; nuclei are bright.');
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByLabel('Name for signing in').fill(PEOPLE.pathologist.login);
    await sheet.getByLabel('That person’s password').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign that it stands' }).click();
    await sheet.waitFor({ state: 'hidden' });
    await page.getByText('No released result is in question').waitFor();
    await page.getByText('The second look at it', { exact: true }).first().click();
    await page
      .getByText(/^Upheld by /)
      .first()
      .waitFor();

    await go(page, 'Quality');
    await within(page, 'Rules');
    await page.getByRole('button', { name: 'Sign a revision' }).click();
    await sheet.getByLabel('Rule', { exact: true }).selectOption({ label: 'Service of an instrument overdue' });
    await sheet.getByRole('button', { name: 'Add this rule' }).click();
    await sheet.getByLabel('Weighs at least').selectOption({ label: 'stops' });
    await sheet.getByText('No exception may go over it').click();
    await sheet.getByLabel('Counts from').fill(today());
    await sheet.getByLabel('Reason').fill('Invented: nothing leaves by an instrument that was not serviced.');
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign the revision' }).click();
    await sheet.waitFor({ state: 'hidden' });

    await go(page, 'Record');
    for (const act of ['policy.signed', 'run.release-upheld']) {
      await page.getByText(act, { exact: true }).first().waitFor();
    }
    expect(errors).toEqual([]);
  });

  it('of a deviation: done by one, its effect checked by another who had no part in it, closed by the manager', async () => {
    const faults: string[] = [];
    const open = async (who: keyof typeof PEOPLE): Promise<Page> => {
      const { page, errors } = await as(who);
      page.once('close', () => faults.push(...errors));
      await go(page, 'Quality');
      await page.getByRole('link', { name: 'Labels came off in the clearing bath' }).first().click();
      return page;
    };
    /** Opens a sheet by its button, fills it and enters it. */
    const enter = async (page: Page, button: string, fill: (sheet: Locator) => Promise<void>): Promise<void> => {
      const sheet = page.getByRole('dialog');
      await page.getByRole('button', { name: button, exact: true }).first().click();
      await fill(sheet);
      await sheet.getByRole('button', { name: /^(Enter it|Sign and close)$/ }).click();
      await sheet.waitFor({ state: 'hidden' });
    };

    const technician = await open('technician');
    await enter(technician, 'It is done', (sheet) =>
      sheet.getByLabel('What was done').fill('Invented: the labels used before are back; ten lay an hour in xylene.'),
    );
    await technician.close();

    const manager = await open('manager');
    await enter(manager, 'Plan the check', async (sheet) => {
      await sheet.getByLabel(/^Criterion/).fill('Invented: no label of the next two racks comes off.');
      // Who did it is not among those who may check it.
      const names = await sheet.getByLabel('Who').getByRole('option').allTextContents();
      expect(names).not.toContain(PEOPLE.technician.name);
      await sheet.getByLabel('Who').selectOption({ label: PEOPLE.pathologist.name });
      await sheet.getByLabel('First day on which it can be checked').fill(today());
      await sheet.getByLabel('Last day for it').fill(today());
    });

    const releaser = await open('pathologist');
    await enter(releaser, 'Record the check', async (sheet) => {
      await sheet.getByText('Invented: no label of the next two racks comes off.').waitFor();
      await sheet.getByText('met: it works').click();
      await sheet.getByLabel('What was looked at, and what was seen').fill('Invented: two racks, no label came off.');
    });
    await releaser.close();

    await manager.reload();
    await enter(manager, 'Close it', async (sheet) => {
      await sheet.getByLabel('In a few sentences').fill('Invented: the old labels hold; the new kind is not bought.');
      await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    });
    await manager.getByText('closed', { exact: true }).first().waitFor();
    await manager.close();
    expect(faults).toEqual([]);
  });
});
