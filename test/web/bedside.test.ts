import { beforeEach, expect, it } from '@jest/globals';
import type { Page } from 'playwright-core';
import type { Protocol } from '../../src/core/protocol/protocol.js';
import { ContainerActRow, ContainerRow } from '../../src/store/rows/stock.entity.js';
import { ReleaseRow } from '../../src/store/rows/runs.entity.js';
import { plusMs } from '../../src/core/time/instant.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { LABORATORY, PASSWORD } from '../support/app.js';
import { openPage, scan, signIn } from '../support/browser.js';
import { assessEverybody, furnish, type Furnished } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const BOUNCE_MS = 800;

/** A laboratory that dyes faster than any: the same steps, in seconds that a test can wait. */
function quick(draft: Protocol): Protocol {
  const windows: Record<string, [min: number, target: number, max: number]> = {
    'rinse-blood': [0.2, 0.5, 30],
    dye: [1, 1.5, 5],
    'rinse-dye': [0.2, 0.5, 30],
    image: [0.5, 1, 60],
  };
  return {
    ...draft,
    steps: draft.steps.map((step) => {
      const window = windows[step.id];
      if (!window) return { ...step, time: { ...step.time, target: 0.5, max: 60 } };
      const [min, target, max] = window;
      return { ...step, time: { ...step.time, min, target, max } };
    }),
  };
}

describeWith('chromium', 'The bedside job in a browser', (chromiumPath) => {
  onPages(chromiumPath, { each: true, realClock: true });

  let furnished: Furnished;
  let labels: Map<string, string>;

  beforeEach(async () => {
    furnished = await furnish(test, { now: new Date().toISOString(), settings: quick });
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    await test.createPerson('marl', ['releaser'], 'Marl Quenby');
    await assessEverybody(test, furnished.protocol.id);
    labels = new Map(
      await test.store.read(LABORATORY, async (view) => [
        ...(await view.all(ContainerRow)).map(({ id, label }): [string, string] => [id, label]),
        ...(await view.all(SubjectRow)).map(({ id, label }): [string, string] => [id, label]),
      ]),
    );
  });

  const label = (id: string | undefined): string => labels.get(id ?? '') ?? '';

  async function startRun(page: Page): Promise<void> {
    await page.getByRole('link', { name: 'New run' }).first().click();
    await page.getByText('Acridine orange, fresh tissue, single dye').click();
    await page.getByRole('combobox', { name: 'Station' }).fill('Ultrasound 1');
    await page.keyboard.press('Tab');
    await scan(page, label(furnished.core));
    await page.getByRole('button', { name: 'Confirm identity' }).click();
    await page.getByText('I compared two identifiers, and both fit.').click();
    await page.getByRole('button', { name: 'Confirm', exact: true }).click();
    for (const [control, id] of Object.entries(furnished.controls)) {
      const item = page.getByRole('listitem').filter({ has: page.getByText(control, { exact: true }) });
      await item.getByRole('textbox').fill(label(id));
      await item.getByRole('button', { name: 'Add' }).click();
    }
    await page.getByRole('button', { name: 'Start the run' }).click();
    await page.getByRole('heading', { name: 'Start: Receive' }).waitFor();
  }

  /** Scans every bottle onto the tray, anywhere on the page. */
  async function setTray(page: Page): Promise<void> {
    for (const container of Object.values(furnished.containers)) {
      await scan(page, label(container));
      await page
        .getByRole('listitem')
        .filter({ hasText: shown(container) })
        .first()
        .waitFor();
    }
  }

  /** Presses what the strip on top says next, for each step; waits as told before the end. */
  async function doSteps(page: Page, seconds: Record<string, number> = {}): Promise<void> {
    const next = page.getByRole('region', { name: 'Next' });
    for (const { id, time } of furnished.protocol.steps) {
      await next.getByRole('button', { name: 'Start', exact: true }).click();
      await next.getByRole('button', { name: 'End', exact: true }).waitFor();
      await page.waitForTimeout(Math.max((seconds[id] ?? time.target) * 1000 + 200, BOUNCE_MS));
      await next.getByRole('button', { name: 'End', exact: true }).click();
      await next.getByRole('heading', { name: /^(Start|Read control|Clear)/ }).waitFor();
      // What comes sooner than this is taken for a bounce of the first press.
      await page.waitForTimeout(BOUNCE_MS);
    }
  }

  async function readControls(page: Page, failing: string[] = []): Promise<void> {
    for (const [control, id] of Object.entries(furnished.controls)) {
      const item = page
        .getByRole('listitem')
        .filter({ hasText: shown(id) })
        .filter({ hasText: 'not read yet' });
      await item.getByRole('button', { name: 'Read', exact: true }).click();
      const sheet = page.getByRole('dialog');
      const passed = !failing.includes(control);
      await sheet.getByRole('button', { name: passed ? 'Yes, as expected' : 'No', exact: true }).click();
      if (!passed) {
        await sheet.getByLabel('What do you see?').fill('nuclei glow in the gel');
        await sheet.getByRole('button', { name: 'Record the reading' }).click();
      }
      await sheet.waitFor({ state: 'hidden' });
    }
  }

  /** A label as pages print it: without our prefix. */
  function shown(id: string): string {
    return label(id).split(':').at(-1) ?? '';
  }

  /** Says aloud what is signed later, with who listened and that it was read back. */
  async function sayAloud(page: Page, words: string): Promise<void> {
    await page.getByRole('button', { name: 'Record a spoken answer' }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('The words, as they were said').fill(words);
    await sheet.getByLabel('Who listened').fill('the radiologist');
    await sheet.getByText('They read it back, and it was right').click();
    await sheet.getByRole('button', { name: 'Record the answer' }).click();
    await sheet.waitFor({ state: 'hidden' });
  }

  /** A releaser's own browser, on the worklist. */
  async function openDesk(): Promise<{ page: Page; errors: string[] }> {
    const desk = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(desk.page, test.url, 'marl', PASSWORD);
    await desk.page.getByRole('link', { name: 'Release' }).click();
    return desk;
  }

  async function sign(page: Page, kind: string, words: string): Promise<void> {
    const sheet = page.getByRole('dialog');
    await sheet.getByText(kind, { exact: true }).click();
    await sheet.getByLabel('Words', { exact: true }).fill(words);
    await sheet.getByLabel('Your password, once more').fill(PASSWORD);
    await sheet.getByRole('button', { name: 'Sign and release' }).click();
    await sheet.waitFor({ state: 'hidden' });
  }

  const releases = (): Promise<ReleaseRow[]> => test.store.read(LABORATORY, (view) => view.all(ReleaseRow));

  it('goes from scan to release by hand, live between two browsers', async () => {
    const bench = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(bench.page, test.url, 'tansy', PASSWORD);
    await startRun(bench.page);
    const desk = await openDesk();
    await desk.page.getByRole('link', { name: furnished.protocol.title, exact: true }).click();
    await desk.page.getByText('Not reached yet.').waitFor();

    await setTray(bench.page);
    await doSteps(bench.page);
    await readControls(bench.page);
    await bench.page.getByText('Nothing speaks against it').waitFor();
    await sayAloud(bench.page, 'adequate for lymphoma work-up');

    // The desk was not touched since: what follows came to it by itself.
    await desk.page.getByText('Clear: nothing speaks against release.').waitFor();
    await desk.page.getByText('adequate for lymphoma work-up').first().waitFor();
    await desk.page.getByRole('button', { name: 'Release', exact: true }).click();
    await sign(desk.page, 'Adequacy', 'adequate: lymphoid cells throughout');
    await desk.page.getByText('Released: Adequacy').waitFor();
    await desk.page.getByRole('button', { name: 'Release something else here' }).click();
    await sign(desk.page, 'Preliminary impression', 'reactive pattern, final report follows');
    await desk.page.getByText('Released: Preliminary impression').waitFor();
    await desk.page.getByText('Marl Quenby').first().waitFor();

    expect((await releases()).map(({ kind, verdict, signature }) => [kind, verdict, signature.name])).toEqual([
      ['adequacy', 'clear', 'Marl Quenby'],
      ['preliminary impression', 'clear', 'Marl Quenby'],
    ]);
    expect([...bench.errors, ...desk.errors]).toEqual([]);
  });

  it('refuses release with exactly three findings: dyed too long, dye opened too long ago, negative control glowed', async () => {
    const dye = furnished.containers['acridine-orange-working'] as string;
    await test.store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'container.opened',
      async (unit) => {
        const at = plusMs(unit.at, -8 * 3_600_000);
        // Opened eight hours ago with a life of four.
        await unit.insert(ContainerActRow, {
          containerId: dye,
          at,
          personId: null,
          state: 'opened',
          until: plusMs(at, 4 * 3_600_000),
          reason: null,
        });
        unit.about('container', dye);
      },
    );
    const bench = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(bench.page, test.url, 'tansy', PASSWORD);
    await startRun(bench.page);
    for (const container of Object.values(furnished.containers)) {
      await scan(bench.page, label(container));
      if (container === dye) {
        // The page says at once why it may not be used; it is put on the tray all the same.
        await bench.page.getByText(`Bottle ${shown(dye)} may not be used`).waitFor();
        await bench.page.getByRole('button', { name: 'It was used all the same: record it' }).click();
      }
      await bench.page
        .getByRole('listitem')
        .filter({ hasText: shown(container) })
        .first()
        .waitFor();
    }
    await doSteps(bench.page, { dye: 6 });
    await readControls(bench.page, ['negative']);

    const desk = await openDesk();
    await desk.page.getByRole('link', { name: furnished.protocol.title, exact: true }).click();
    const point = desk.page.getByRole('region', { name: /Adequacy of the specimen/ });
    await point.getByText('held').first().waitFor();
    for (const rule of ['Step too long', 'Opened too long ago', 'Control failed']) {
      await desk.page.getByText(rule).first().waitFor();
    }
    expect(await point.getByRole('button', { name: 'Release', exact: true }).count()).toBe(0);

    // Whoever asks past the page is refused with the same three, and no more.
    const marl = await test.signIn('marl');
    const runs = await marl.get<{ runs: { id: string }[] }>('/api/bench');
    const answer = await marl.post<{ code: string; findings: { rule: string }[] }>(
      `/api/runs/${runs.body.runs[0]?.id}/releases`,
      {
        subjectId: furnished.core,
        point: 'adequacy',
        kind: 'adequacy',
        words: 'adequate',
        password: PASSWORD,
      },
    );
    expect(answer.status).toBe(409);
    expect(answer.body.findings.map(({ rule }) => rule)).toEqual(['step-long', 'past-opened-life', 'control-failed']);
    expect(await releases()).toEqual([]);
    expect([...bench.errors, ...desk.errors]).toEqual([]);
  });
});
