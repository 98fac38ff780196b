import { beforeAll, expect, it } from '@jest/globals';
import type { Page } from 'playwright-core';
import type { OrderDto, OrderListDto } from '../../src/contract/orders.dto.js';
import { plusMs } from '../../src/core/time/instant.js';
import { MovementRow } from '../../src/store/rows/ledger.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { openPage, signIn } from '../support/browser.js';
import { describeWith } from '../support/needs.js';
import { browser, onPages, test } from '../support/stage.js';

const DAY_MS = 86_400_000;

describeWith('chromium', 'Outlook and orders in a browser', (chromiumPath) => {
  onPages(chromiumPath, { realClock: true });

  let manager: Client;

  beforeAll(async () => {
    await test.createPerson('marl', ['manager', 'technician'], 'Marl Dunewick');
    manager = await test.signIn('marl');
    await manager.post('/api/suppliers', { code: 'tidewater', name: 'Tidewater Reagents', approved: true });
    await manager.post('/api/products', {
      code: 'tidewater-xylene',
      supplier: 'tidewater',
      itemNumber: 'TW-9',
      name: 'Xylene, 2 bottles',
      reagent: 'xylene',
      containers: 2,
      amount: { value: 500, unit: 'mL' },
      priceCents: 3550,
      minimumPacks: 1,
      leadDays: 7,
      leadSdDays: 1,
      offered: true,
    });
    const lot = {
      reagent: 'xylene',
      number: 'L-1',
      expiry: '2031-06',
      source: 'Tidewater',
      containers: [{ size: '440 mL' }],
    };
    const { body } = await manager.post<{ id: string; containers: { id: string }[] }>('/api/lots', lot);
    await manager.post(`/api/lots/${body.id}/decisions`, { standing: 'accepted', reason: 'compared' });
    const containerId = body.containers[0]?.id ?? '';
    const now = new Date().toISOString();
    // The API books nothing before the receipt; a month of use, given back before it, leaves the bottle as it is.
    await test.store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'ledger.taken-over',
      async (unit) => {
        for (let day = 1; day <= 30; day += 1) {
          const at = plusMs(now, -day * DAY_MS);
          const row = { containerId, reagentCode: 'xylene', at, day: at.slice(0, 10) };
          await unit.insert(MovementRow, { ...row, kind: 'adjusted', micro: 40e6 });
          await unit.insert(MovementRow, { ...row, kind: 'used', micro: -40e6 });
        }
        unit.about('ledger', LABORATORY);
      },
    );
  });

  async function open(path: string, width = 1280): Promise<{ page: Page; errors: string[] }> {
    const opened = await openPage(await browser.newContext({ viewport: { width, height: 900 } }));
    await signIn(opened.page, test.url, 'marl', PASSWORD);
    await opened.page.goto(`${test.url}${path}`);
    return opened;
  }

  it('leads from what runs out over its arithmetic to an order that comes', async () => {
    const { page, errors } = await open('/stock/outlook');
    await page.getByText('order today').waitFor();
    await page.getByRole('link', { name: 'Xylene', exact: true }).click();
    await page.getByRole('img', { name: /440 mL on the shelf; runs out on/ }).waitFor();
    await page.getByRole('row', { name: /Reorder point/ }).waitFor();

    await page.getByRole('link', { name: 'Orders', exact: true }).click();
    await page.getByRole('button', { name: 'Draft the order to Tidewater Reagents' }).click();
    await page.getByRole('button', { name: 'Approve', exact: true }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Approve', exact: true }).click();
    await page.getByRole('button', { name: 'Say that it was sent' }).click();
    await page.getByRole('dialog').getByRole('button', { name: 'Record it' }).click();
    await page.getByText('sent', { exact: true }).waitFor();

    await page.getByRole('button', { name: 'Receive Xylene, 2 bottles' }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('Lot number').fill('L-2');
    await sheet.getByLabel('Expiry').fill('2031-12');
    await sheet.getByLabel('Containers', { exact: true }).fill('1');
    await sheet.getByRole('button', { name: 'Take it in' }).click();
    await page.getByText('partly in', { exact: true }).waitFor();
    const { items } = (await manager.get<OrderListDto>('/api/orders')).body;
    const { body } = await manager.get<OrderDto>(`/api/orders/${items[0]?.id}`);
    expect(body).toMatchObject({ state: 'partly in', receipts: [{ number: 'L-2', containers: 1, kind: 'taken in' }] });
    expect(errors).toEqual([]);
  });
});
