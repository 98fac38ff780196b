import { beforeAll, expect, it } from '@jest/globals';
import { encode } from 'fast-png';
import type { BathDto } from '../../src/contract/preparations.dto.js';
import type { RunPicturesDto } from '../../src/contract/run-pictures.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { type Client, PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { Bench, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const DYE = 'acridine-orange-working';

describeWith('chromium', 'What is done at the bench in the middle of a run', (chromiumPath) => {
  onPages(chromiumPath);

  let manager: Client;
  let run: string;
  let bath: string;
  let source: LotDto['containers'][number];

  beforeAll(async () => {
    const furnished = await furnish(test);
    manager = await test.as('manager', 'technician');
    const lot = await manager.post<LotDto>('/api/lots', {
      reagent: DYE,
      number: 'TIDE-1',
      source: 'Tidewater Reagents (invented)',
      expiry: '2027-12-31',
      containers: [{ size: '500 mL' }],
    });
    source = lot.body.containers[0]!;
    await manager.post(`/api/lots/${lot.body.id}/decisions`, { standing: 'accepted', reason: 'Checked.' });
    await manager.post(`/api/containers/${source.id}/state`, { state: 'opened' });
    const made = await manager.post<BathDto>('/api/baths', {
      reagent: DYE,
      fills: [{ container: source.id, quantity: { value: 50, unit: 'mL' } }],
      station: 'Line 1',
      series: 'Dye',
      position: 1,
      maxSlides: 40,
      filterEvery: 'P0D',
    });
    expect(made.status).toBe(201);
    bath = made.body.id;
    const bench = new Bench(test, manager, furnished);
    run = await bench.start();
    await bench.must(run, 'tray-scanned', { reagent: DYE, container: bath });
    const [first] = furnished.protocol.steps;
    await bench.must(run, 'step-started', { step: first!.id });
    test.clock.forward(5_000);
    await bench.must(run, 'step-ended', { step: first!.id });
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
  });

  it('filters and tops up a bath on the tray, and keeps a picture of a step', async () => {
    const { page, errors } = await openPage(await browser.newContext({ viewport: { width: 1280, height: 900 } }));
    await signIn(page, test.url, 'tansy', PASSWORD);
    await page.goto(`${test.url}/?run=${run}`);

    await page.getByRole('button', { name: /^Filtered: / }).click();
    await page
      .getByText(/ is filtered$/)
      .first()
      .waitFor();
    const standing = async (): Promise<BathDto> => (await manager.get<BathDto>(`/api/baths/${bath}`)).body;
    expect(await standing()).toMatchObject({ filterDue: false });
    expect((await standing()).filterDueAt).not.toBeNull();

    await page.getByRole('button', { name: /^Top up: / }).click();
    const topUp = page.getByRole('dialog');
    await topUp.getByRole('textbox').first().fill(source.label);
    await page.keyboard.press('Enter');
    await topUp.getByLabel('mL poured').fill('20');
    await topUp.getByRole('button', { name: 'Keep it' }).click();
    await topUp.waitFor({ state: 'hidden' });

    const [done] = await page.locator('.steps > li').all();
    await done!.locator('summary').click();
    await done!.getByRole('button', { name: 'Keep a picture of this step' }).click();
    const sheet = page.getByRole('dialog');
    const buffer = Buffer.from(encode({ width: 9, height: 9, channels: 3, data: new Uint8Array(243).fill(90) }));
    await sheet.getByLabel('Choose a file').setInputFiles({ name: 'core.png', mimeType: 'image/png', buffer });
    await sheet.getByRole('button', { name: 'Keep it with the run' }).click();
    await done!.getByRole('img', { name: 'core.png' }).waitFor();

    const { pictures } = (await manager.get<RunPicturesDto>(`/api/runs/${run}/pictures`)).body;
    expect(pictures.map(({ step, role, file }) => [step, role, file.name])).toEqual([
      [expect.any(String), 'patient', 'core.png'],
    ]);
    expect(errors).toEqual([]);
  });
});
