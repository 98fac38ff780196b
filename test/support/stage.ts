import { afterAll, afterEach, beforeAll, beforeEach } from '@jest/globals';
import type { Browser } from 'playwright-core';
import { type Options, startApp, type TestApp } from './app.js';
import { openBrowser } from './browser.js';
import { type FreshDatabase, freshSqlite } from './databases.js';
import { type RunningDemo, startDemo } from './demo.js';

/*
 * What a suite stands on, opened before its own hooks and closed after its tests. A test file imports what it uses: it sees
 * what was opened last, since an import follows the variable it names, and each test file has this module to itself.
 */
export let database: FreshDatabase;
export let test: TestApp;
export let browser: Browser;
export let demo: RunningDemo;

export interface Program extends Options {
  /** A program for each test rather than one for the suite. */
  each?: boolean;
}

/** The program on a fresh database. */
export function onProgram(fresh: () => Promise<FreshDatabase>, { each = false, ...options }: Program = {}): void {
  const [before, after] = each ? [beforeEach, afterEach] : [beforeAll, afterAll];
  before(async () => {
    database = await fresh();
    test = await startApp(database, options);
  });
  after(async () => {
    await test.stop();
    await database.drop();
  });
}

/** The program anew on the database that it stopped on. */
export async function restart(options: Options): Promise<void> {
  test = await startApp(database, { ...options, laboratory: false });
}

/** A browser; `flags` beside those of every one. */
export function inBrowser(chromiumPath: string, flags: () => Promise<string[]> = () => Promise.resolve([])): void {
  beforeAll(async () => {
    browser = await openBrowser(chromiumPath, await flags());
  });
  afterAll(() => browser.close());
}

/** A browser before the program on a fresh SQLite database. */
export function onPages(chromiumPath: string, options: Program = {}): void {
  inBrowser(chromiumPath);
  onProgram(freshSqlite, options);
}

/** A browser before the built program with the invented laboratory in it. */
export function onDemo(chromiumPath: string): void {
  inBrowser(chromiumPath);
  beforeAll(async () => {
    demo = await startDemo();
  });
  afterAll(() => demo.stop());
}
