import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { PATIENCE_MS, until } from './until.js';

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
  page.setDefaultTimeout(PATIENCE_MS);
  const errors: string[] = [];
  page.on('pageerror', ({ message }) => errors.push(message));
  return { page, errors };
}

/** Waits until an expression is true in the page. The library's own way needs `eval`, which the pages' rules about scripts forbid. */
export function untilIn(page: Page, expression: string): Promise<void> {
  return until(expression, () => page.evaluate<boolean>(expression));
}

/** Signs in as a person would. */
export async function signIn(page: Page, url: string, login: string, password: string): Promise<void> {
  await page.goto(url);
  await page.getByLabel('Name for signing in').fill(login);
  await page.getByLabel('Password').fill(password);
  await page.keyboard.press('Enter');
  await page.getByRole('navigation', { name: 'Screens' }).waitFor();
}

/** Between two keys of a scanner. */
const KEY_MS = 5;

/** Types a label as a hand scanner does: keys without a pause, closed by Enter. */
export async function scan(page: Page, text: string): Promise<void> {
  const keyboard = await page.context().newCDPSession(page);
  const from = Date.now();
  const down = [...[...text].map((key) => ({ key, text: key })), { key: 'Enter', code: 'Enter', text: '\r' }];
  // All at once, since waiting for each key's answer would make the scanner as slow as a person; and each says when it was.
  await Promise.all(
    down.map((key, n) =>
      keyboard.send('Input.dispatchKeyEvent', { type: 'keyDown', ...key, timestamp: (from + n * KEY_MS) / 1000 }),
    ),
  );
  await keyboard.detach();
}
