import { beforeAll, it } from '@jest/globals';
import { PASSWORD } from '../support/app.js';
import { openPage } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

describeWith('chromium', 'Signing in', (chromiumPath) => {
  onPages(chromiumPath);

  beforeAll(async () => {
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
  });

  it('has a wrong password typed over at once when signing in', async () => {
    const { page } = await openPage(await browser.newContext());
    await page.goto(test.url);
    await page.getByLabel('Name for signing in').fill('tansy');
    await page.getByLabel('Password').fill('not the password');
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.getByText('The login or the password is not right').waitFor();
    await page.getByText(/^What to do: Type it again/).waitFor();
    await page.keyboard.type(PASSWORD);
    await page.keyboard.press('Enter');
    await page.getByRole('navigation', { name: 'Screens' }).waitFor();
  });
});
