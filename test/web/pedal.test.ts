import { beforeAll, expect, it } from '@jest/globals';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { plusMs } from '../../src/core/time/instant.js';
import { eventsOfRun, openBench, standRun } from '../support/bench-page.js';
import { scan } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const DAY_MS = 86_400_000;
const DYE = 'acridine-orange-working';

describeWith('chromium', 'Keys at the bench, of a person and of a scanner', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  let runId: string;
  let unopened: LotDto['containers'][number];

  beforeAll(async () => {
    ({ runId } = await standRun(test));
    const manager = await test.as('manager');
    const { body: lot } = await manager.post<LotDto>('/api/lots', {
      reagent: DYE,
      number: 'TIDE-1',
      source: 'Tidewater Reagents (invented)',
      expiry: plusMs(new Date().toISOString(), 200 * DAY_MS).slice(0, 10),
      containers: [{ size: '500 mL' }],
    });
    unopened = lot.containers[0]!;
    await manager.post(`/api/lots/${lot.id}/decisions`, { standing: 'accepted', reason: 'Checked.' });
  });

  it('press what has the focus after a scan, not what had it while the label was scanned', async () => {
    const { page, errors } = await openBench(
      await browser.newContext({ viewport: { width: 1280, height: 900 } }),
      test.url,
    );
    const next = page.getByRole('region', { name: 'Next' }).getByRole('button', { name: 'Start', exact: true });
    await next.focus();
    await scan(page, unopened.label);
    const open = page.getByRole('alertdialog').getByRole('button', { name: 'Open it now' });
    await open.and(page.locator(':focus')).waitFor();
    await page.keyboard.press('Enter');
    await page.getByText(/ is on the tray$/).waitFor();

    expect(await eventsOfRun(test, runId)).toMatchObject([
      { kind: 'tray-scanned', data: { reagent: DYE, container: unopened.id } },
    ]);
    expect(errors).toEqual([]);
  });
});
