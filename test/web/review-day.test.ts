import { expect, it } from '@jest/globals';
import { Api, overHttp } from '../../src/client.js';
import { PASSWORD, PEOPLE } from '../../src/demo/laboratory.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, demo, onDemo } from '../support/stage.js';

describeWith('chromium', 'A day of the reviewer in a browser', (chromiumPath) => {
  onDemo(chromiumPath);

  it('asks the record, follows a requirement to its runs, draws a sample, and leaves a trace of every look', async () => {
    const { page, errors } = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(page, demo.url, PEOPLE.reviewer.login, PASSWORD);
    await page.getByRole('heading', { name: 'Ask the record' }).waitFor();
    await page.getByText(/^You may see records from /).waitFor();
    await page.getByRole('heading', { name: 'What was done, in order' }).waitFor();

    await page.getByLabel('About').selectOption({ label: 'A stain' });
    await page.getByRole('searchbox', { name: 'Find by title or name of the protocol' }).fill('single dye');
    await page.getByRole('button', { name: /^Acridine orange, fresh tissue, single dye/ }).click();
    await page.getByRole('heading', { name: /^Acridine orange, fresh tissue, single dye/ }).waitFor();
    await page.getByRole('heading', { name: 'Releases' }).waitFor();

    await page.getByRole('link', { name: 'Requirements', exact: true }).click();
    await page.getByText(/^Of \d+: \d+ proven, \d+ with gaps, \d+ without any record\.$/).waitFor();
    await page.getByRole('link', { name: '42 CFR 493.1283(a)(4)' }).first().click();
    await page.getByRole('heading', { name: 'All records' }).waitFor();

    await page.getByRole('link', { name: 'Sample', exact: true }).click();
    await page.getByRole('textbox', { name: 'How many' }).fill('2');
    await page.getByRole('button', { name: 'Draw' }).click();
    await page.getByRole('heading', { name: 'How it was drawn' }).waitFor();
    await page
      .getByText(/2 of \d+/)
      .first()
      .waitFor();

    // What was not granted stays closed, and says so.
    await page.goto(`${demo.url}/stock`);
    await page.getByText('This page belongs to another role').waitFor();

    const director = await Api.signIn(overHttp(demo.url), PEOPLE.director.login, PASSWORD);
    const reviewer = (await director.get<{ id: string; login: string }[]>('/people')).find(
      ({ login }) => login === PEOPLE.reviewer.login,
    );
    const { last } = await director.get<{ last: number }>('/record?after=0&take=1');
    const { entries } = await director.get<{ entries: { act: string; body: string }[] }>(
      `/record?after=${Math.max(0, last - 40)}&take=40`,
    );
    const looks = entries.filter(({ act, body }) => act === 'record.looked' && body.includes(reviewer?.id ?? 'nobody'));
    expect(looks.length).toBeGreaterThan(3);
    expect(errors).toEqual([]);
  });
});
