import type { BrowserContext, Page } from 'playwright-core';
import type { RunEvent } from '../../src/core/run/events.js';
import { RunEventRow } from '../../src/store/rows/runs.entity.js';
import { type Client, LABORATORY, PASSWORD, type TestApp } from './app.js';
import { openPage, signIn } from './browser.js';
import { assessEverybody, furnish, type Furnished } from './furnish.js';

/** So long a button takes no second press. */
export const BOUNCE_MS = 800;

export interface StandingRun {
  furnished: Furnished;
  tansy: Client;
  runId: string;
}

/** A laboratory with two technicians and one run on the bench. */
export async function standRun(test: TestApp): Promise<StandingRun> {
  const furnished = await furnish(test, { now: new Date().toISOString() });
  await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
  await test.createPerson('corvin', ['technician'], 'Corvin Lanternquay');
  await assessEverybody(test, furnished.protocol.id);
  const tansy = await test.signIn('tansy');
  const subjects = [
    { subjectId: furnished.core, role: 'patient' },
    ...Object.entries(furnished.controls).map(([control, subjectId]) => ({ subjectId, role: 'control', control })),
  ];
  const started = await tansy.post<{ id: string }>('/api/runs', {
    revisionId: furnished.revisionId,
    station: 'Ultrasound 1',
    purpose: 'patients',
    subjects,
  });
  return { furnished, tansy, runId: started.body.id };
}

/** The bench once it is kept on the device, so that it opens without a network. */
export async function openBench(
  context: BrowserContext,
  url: string,
  login = 'tansy',
): Promise<{ page: Page; errors: string[] }> {
  const opened = await openPage(context);
  await signIn(opened.page, url, login, PASSWORD);
  await opened.page.evaluate('navigator.serviceWorker.ready.then(() => null)');
  return opened;
}

/** Does what is next, until the device has kept it and shows what comes then. */
export async function press(page: Page, name: 'Start' | 'End'): Promise<void> {
  const next = page.getByRole('region', { name: 'Next' });
  await next.getByRole('button', { name, exact: true }).click();
  const then = next.getByRole('button', { name: name === 'Start' ? 'End' : 'Start', exact: true });
  const sheet = page.getByRole('button', { name: 'End it all the same' });
  // What is too short is asked about; these steps need not wait for their time.
  await sheet.or(then).first().waitFor();
  if (await sheet.isVisible()) await sheet.click();
  await then.waitFor();
  await page.waitForTimeout(BOUNCE_MS);
}

/** Until the device holds nothing that the server does not have. */
export async function allSent(page: Page): Promise<void> {
  await page.getByText(/on this device only/).waitFor({ state: 'hidden' });
}

/** The events of a run in the order of the record. */
export async function eventsOfRun(test: TestApp, runId: string): Promise<RunEvent[]> {
  return (await test.store.read(LABORATORY, (view) =>
    view.all(RunEventRow, { runId }, { order: { seq: 'ASC' } }),
  )) as never;
}
