import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';

/** What headless Chromium needs in a sandbox without a network, and sound without a person's touch. */
export const FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--autoplay-policy=no-user-gesture-required',
];

/** `flags` beside those of every browser of the tests. */
export function openBrowser(executablePath: string, flags: readonly string[] = []): Promise<Browser> {
  return chromium.launch({ executablePath, args: [...FLAGS, ...flags] });
}

/** A page on which an error in the browser fails the test that looks at `errors`. */
export async function openPage(context: BrowserContext): Promise<{ page: Page; errors: string[] }> {
  const page = await context.newPage();
  page.setDefaultTimeout(10_000);
  const errors: string[] = [];
  page.on('pageerror', ({ message }) => errors.push(message));
  return { page, errors };
}

/** Waits until an expression is true in the page. The library's own way needs `eval`, which the pages' rules about scripts forbid. */
export async function until(page: Page, expression: string): Promise<void> {
  for (let turn = 0; turn < 200; turn++) {
    if (await page.evaluate<boolean>(expression)) return;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error(`was not true within ten seconds: ${expression}`);
}

/** Signs in as a person would. */
export async function signIn(page: Page, url: string, login: string, password: string): Promise<void> {
  await page.goto(url);
  await page.getByLabel('Name for signing in').fill(login);
  await page.getByLabel('Password').fill(password);
  await page.keyboard.press('Enter');
  await page.getByRole('navigation', { name: 'Screens' }).waitFor();
}

/** Types a label as a hand scanner does: keys without a pause, closed by Enter. */
export async function scan(page: Page, text: string): Promise<void> {
  const keyboard = await page.context().newCDPSession(page);
  // All at once, since waiting for each key's answer would make the scanner as slow as a person.
  const keys = [...text].map((key) => keyboard.send('Input.dispatchKeyEvent', { type: 'keyDown', key, text: key }));
  keys.push(keyboard.send('Input.dispatchKeyEvent', { type: 'keyDown', key: 'Enter', code: 'Enter', text: '\r' }));
  await Promise.all(keys);
  await keyboard.detach();
}
