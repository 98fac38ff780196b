import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import { execFile } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { parse } from 'csv-parse/sync';
import type { ProductDto, SupplierDto } from '../../src/contract/buying.dto.js';
import type { OutlookDto, OutlookListDto, ReorderDto } from '../../src/contract/outlook.dto.js';
import type { OrderDto, OrderListDto } from '../../src/contract/orders.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { plusDays } from '../../src/core/time/days.js';
import { plusMs } from '../../src/core/time/instant.js';
import { localDay } from '../../src/core/time/zone.js';
import { proveBalances } from '../../src/store/questions/ledger.js';
import { verifyRecord } from '../../src/store/questions/verify.js';
import { type Client, LABORATORY, PASSWORD, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, freshSqlite, type FreshDatabase } from '../support/databases.js';
import { describeWith } from '../support/needs.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
  oddities?: string[];
}

const DAY_MS = 86_400_000;
const EOSIN = 'eosin-y-aqueous';
const supplier = (changes: object = {}) => ({
  code: 'tidewater',
  name: 'Tidewater Reagents (invented)',
  address: 'Quay 3\nLower Saltmarrow',
  email: 'orders@tidewater.example',
  customerNumber: 'OQ-77',
  approved: true,
  ...changes,
});
const product = (changes: object = {}) => ({
  code: 'tidewater-eosin-500',
  supplier: 'tidewater',
  itemNumber: 'TW-1107',
  name: 'Eosin Y, aqueous',
  gtin: '09521234543213',
  reagent: EOSIN,
  containers: 4,
  amount: { value: 500, unit: 'mL' },
  priceCents: 8450,
  minimumPacks: 1,
  leadDays: 9,
  leadSdDays: 2,
  shelfLifeDays: 180,
  offered: true,
  ...changes,
});
const delivery = (changes: object = {}) => ({
  line: 0,
  number: 'TW-26-31',
  expiry: '2027-11-30',
  containers: [{}, {}],
  ...changes,
});

/** A laboratory with a supplier, a product and the people who buy. */
async function furnished(database: FreshDatabase) {
  const test = await startApp(database);
  const manager = await test.as('manager');
  const must = async <T>(path: string, body: object, client = manager): Promise<T> => {
    const answer = await client.post<T>(`/api${path}`, body);
    if (answer.status !== 201) throw new Error(`${path}: ${JSON.stringify(answer.body)}`);
    return answer.body;
  };
  await must<SupplierDto>('/suppliers', supplier());
  await must<ProductDto>('/products', product());
  const draft = (packs = 2, changes: object = {}): Promise<OrderDto> =>
    must('/orders', { supplier: 'tidewater', lines: [{ product: 'tidewater-eosin-500', packs }], ...changes });
  const sent = async (packs = 2): Promise<OrderDto> => {
    const { id, version } = await draft(packs);
    await must(`/orders/${id}/approve`, { seen: version });
    return must(`/orders/${id}/sent`, { how: 'e-mail' });
  };
  const refusal = async (
    path: string,
    body: object,
    client = manager,
  ): Promise<[number, string, string | undefined]> => {
    const answer = await client.post<Refused>(`/api${path}`, body);
    return [answer.status, answer.body.code, answer.body.problems?.[0]?.at];
  };
  /** Days pass, and the manager signs in again. */
  const pass = async (days: number): Promise<void> => {
    test.clock.forward(days * DAY_MS);
    Object.assign(manager.headers, (await test.signIn('manager-1')).headers);
  };
  const order = async (id: string): Promise<OrderDto> => (await manager.get<OrderDto>(`/api/orders/${id}`)).body;
  return { test, manager, must, draft, sent, refusal, order, pass };
}

describeOnEachDatabase('Orders', (fresh) => {
  let database: FreshDatabase;
  let lab: Awaited<ReturnType<typeof furnished>>;
  let test: TestApp;
  let manager: Client;

  beforeAll(async () => {
    database = await fresh();
    lab = await furnished(database);
    ({ test, manager } = lab);
  });

  afterAll(async () => {
    await test.stop();
    await database.drop();
  });

  it('go from draft to closed, each delivery a lot of its own', async () => {
    const { draft, must, order } = lab;
    const made = await draft(2, { wantedBy: '2026-12-09' });
    expect(made).toMatchObject({
      number: '2026-0001',
      state: 'draft',
      supplierName: 'Tidewater Reagents (invented)',
      currency: 'EUR',
      totalCents: 16_900,
      wantedBy: '2026-12-09',
      version: 1,
      lines: [{ packs: 2, ordered: 8, received: 0, open: 8, amount: { value: 500, unit: 'mL' } }],
    });
    const edited = await must<OrderDto>(`/orders/${made.id}/lines`, {
      seen: 1,
      lines: [{ product: 'tidewater-eosin-500', packs: 1 }],
    });
    expect(edited).toMatchObject({ version: 2, totalCents: 8450, wantedBy: null });
    expect(await must(`/orders/${made.id}/approve`, { seen: 2 })).toMatchObject({ state: 'approved' });
    test.clock.forward(60_000);
    expect(await must(`/orders/${made.id}/sent`, { how: 'e-mail' })).toMatchObject({ state: 'sent' });

    await lab.pass(9);
    const technician = await test.as('technician');
    const partly = await must<OrderDto>(`/orders/${made.id}/receipts`, delivery(), technician);
    expect(partly).toMatchObject({
      state: 'partly in',
      lines: [{ received: 2, open: 2 }],
      receipts: [{ kind: 'taken in', containers: 2, number: 'TW-26-31', expiry: '2027-11-30' }],
    });
    const lot = (await manager.get<LotDto>(`/api/lots/${partly.receipts[0]?.lotId}`)).body;
    expect(lot).toMatchObject({ reagent: EOSIN, standing: 'quarantined', source: 'Tidewater Reagents (invented)' });
    expect(lot.containers.map(({ size }) => size)).toEqual(['500 mL', '500 mL']);

    // The same lot in a second delivery is a shipment of its own, but not with another expiry.
    expect(await lab.refusal(`/orders/${made.id}/receipts`, delivery({ expiry: '2027-12-31' }))).toEqual([
      409,
      'other-expiry',
      'expiry',
    ]);
    const all = await must<OrderDto>(`/orders/${made.id}/receipts`, delivery());
    expect(all).toMatchObject({ state: 'all in', lines: [{ received: 4, open: 0 }] });
    expect(all.receipts[1]?.lotId).not.toBe(all.receipts[0]?.lotId);
    expect((await order(made.id)).acts.map(({ kind }) => kind)).toEqual(['drafted', 'drafted', 'approved', 'sent']);
    expect((await manager.get<OrderListDto>('/api/orders?take=1')).body.items).toMatchObject([
      { number: '2026-0001', state: 'all in', lineCount: 1 },
    ]);

    const { faults } = await test.store.read(LABORATORY, async (view) => verifyRecord(view));
    for await (const fault of faults) throw new Error(JSON.stringify(fault));
    expect(await test.store.read(LABORATORY, proveBalances)).toEqual([]);
  });

  it('are approved by one of two who press at the same instant', async () => {
    const { id } = await lab.draft();
    const other = await test.as('manager');
    const answers = await Promise.all(
      [manager, other].map((client) => client.post<Refused>(`/api/orders/${id}/approve`, { seen: 1 })),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409]);
    expect(answers.find(({ status }) => status === 409)?.body.code).toBe('order-approved');
    expect((await lab.order(id)).acts.filter(({ kind }) => kind === 'approved')).toHaveLength(1);
  });

  it('count as coming in the outlook, and their deliveries teach the lead time', async () => {
    await lab.must('/products', product({ code: 'saline-4', reagent: 'saline', name: 'Saline', gtin: undefined }));
    const outlook = async () => (await manager.get<OutlookDto>('/api/outlook/saline')).body;
    const figure = (of: OutlookDto, name: string) => of.figures.find((each) => each.name === name)?.value;
    const lines = [{ product: 'saline-4', packs: 1 }];
    expect(await outlook()).toMatchObject({ onShelf: 0, coming: 0, pressing: 'idle', quantity: 0 });
    for (const [n, days] of [6, 8, 10].entries()) {
      const { id } = await lab.must<OrderDto>('/orders', { supplier: 'tidewater', lines });
      expect(await outlook()).toMatchObject({ coming: 0, inDrafts: 2000 });
      await lab.must(`/orders/${id}/approve`, { seen: 1 });
      await lab.must(`/orders/${id}/sent`, { how: 'telephone', note: 'Spoke to the invented Mr Pebble.' });
      const before = await outlook();
      expect(before).toMatchObject({ coming: 2000, inDrafts: 0, leadLearnt: false });
      expect(figure(before, 'leadDays')).toBe(9);
      await lab.pass(days);
      await lab.must(`/orders/${id}/receipts`, delivery({ number: `TW-${n}`, containers: [{}, {}, {}, {}] }));
    }
    const learnt = await outlook();
    expect(learnt).toMatchObject({ leadLearnt: true, coming: 0, onShelf: 6000, waiting: 6000 });
    expect(['leadDays', 'leadSdDays', 'leadsObserved'].map((name) => figure(learnt, name))).toEqual([8, 2, 3]);
  });

  it('are proposed by supplier from what was used', async () => {
    const dye = 'harris-haematoxylin';
    const made = product({ code: 'harris-500', itemNumber: 'TW-2207', reagent: dye, name: 'Harris', gtin: undefined });
    await lab.must('/products', made);
    const began = test.clock.now();
    const { id } = await lab.must<OrderDto>('/orders', {
      supplier: 'tidewater',
      lines: [{ product: 'harris-500', packs: 1 }],
    });
    await lab.must(`/orders/${id}/approve`, { seen: 1 });
    const { receipts } = await lab.must<OrderDto>(
      `/orders/${id}/receipts`,
      delivery({ number: 'TW-H', containers: [{}, {}, {}, {}] }),
    );
    const lot = (await manager.get<LotDto>(`/api/lots/${receipts[0]?.lotId}`)).body;
    await lab.must(`/lots/${lot.id}/decisions`, { standing: 'accepted', reason: 'Stained as the lot before.' });
    await lab.pass(30);
    const use = (bottle: number, value: number, at?: string): Promise<unknown> =>
      lab.must(`/containers/${lot.containers[bottle]?.id}/movements`, {
        kind: 'used',
        amount: { value, unit: 'mL' },
        at,
      });
    // 40 mL a day for a month: 1200 of 2000 mL, from the first three bottles.
    for (let day = 0; day < 30; day += 1) await use(Math.floor(day / 12), 40, plusMs(began, day * DAY_MS + 60_000));
    const today = localDay(test.clock.now(), 'Atlantic/Azores');
    const line = (await manager.get<OutlookListDto>('/api/outlook')).body.lines.find(({ reagent }) => reagent === dye);
    // 800 mL last 20 days; 9 days of lead and 2 of testing before, and a safety stock of 1.645 × 40 × 2 = 131.6 mL.
    expect(line).toMatchObject({
      class: 'smooth',
      method: 'ses',
      perDay: 40,
      onShelf: 800,
      unit: 'mL',
      pressing: 'this week',
      runsOutOn: plusDays(today, 20),
      orderBy: plusDays(today, 5),
    });
    expect((await manager.get<ReorderDto>('/api/reorder')).body.suppliers).toEqual([]);
    // Today is not over, so what it used says nothing about days yet, but it is gone from the shelf.
    await use(2, 260);
    expect((await manager.get<ReorderDto>('/api/reorder')).body).toMatchObject({
      today,
      currency: 'EUR',
      suppliers: [{ supplier: 'tidewater', proposals: [{ reagent: dye, itemNumber: 'TW-2207', onShelf: 540 }] }],
    });
  });
});

describe('An order', () => {
  let database: FreshDatabase;
  let lab: Awaited<ReturnType<typeof furnished>>;
  let test: TestApp;
  let manager: Client;

  beforeEach(async () => {
    database = await freshSqlite();
    lab = await furnished(database);
    ({ test, manager } = lab);
  });

  afterEach(async () => {
    await test.stop();
    await database.drop();
  });

  it('above the limit needs the director’s signature, bound to what was ordered', async () => {
    const director = await test.as('director');
    const limit = { currency: 'GBP', signedAboveCents: 20_000, deliverTo: 'Stores, back door' };
    expect(await lab.refusal('/buying', limit)).toEqual([403, 'role-needed', undefined]);
    await lab.must('/buying', limit, director);
    expect(await lab.refusal('/buying', { ...limit, currency: 'EUX' }, director)).toEqual([
      422,
      'unknown-currency',
      'currency',
    ]);
    const { id } = await lab.draft(3);
    const approve = `/orders/${id}/approve`;
    expect(await lab.refusal(approve, { seen: 1, password: PASSWORD })).toEqual([403, 'director-needed', undefined]);
    expect(await lab.refusal(approve, { seen: 1 }, director)).toEqual([403, 'signature-needed', undefined]);
    expect(await lab.refusal(approve, { seen: 1, password: 'not this one' }, director)).toEqual([
      403,
      'wrong-password',
      'password',
    ]);
    expect((await lab.order(id)).state).toBe('draft');
    const signed = await lab.must<OrderDto>(approve, { seen: 1, password: PASSWORD }, director);
    expect(signed).toMatchObject({ state: 'approved', currency: 'GBP' });
    expect(signed.acts.at(-1)?.signature).toMatchObject({
      meaning: 'approval',
      name: expect.stringContaining('director'),
    });
    // Another currency later does not change what was approved.
    await lab.must('/buying', { ...limit, currency: 'EUR' }, director);
    expect((await lab.order(id)).currency).toBe('GBP');
  });

  it('is refused with bad input, saying where and what would be right, and nothing is kept', async () => {
    const line = (changes: object) => ({
      supplier: 'tidewater',
      lines: [{ product: 'tidewater-eosin-500', packs: 1, ...changes }],
    });
    expect(await lab.refusal('/orders', line({ packs: -1 }))).toEqual([422, 'invalid-input', 'lines.0.packs']);
    expect(await lab.refusal('/orders', line({ packs: 1.5 }))).toEqual([422, 'invalid-input', 'lines.0.packs']);
    expect(await lab.refusal('/orders', line({ product: 'no-such' }))).toEqual([
      422,
      'unknown-product',
      'lines.0.product',
    ]);
    expect(await lab.refusal('/orders', { ...line({}), supplier: 'nobody' })).toEqual([
      422,
      'unknown-supplier',
      'supplier',
    ]);
    expect(await lab.refusal('/orders', { ...line({}), lines: [] })).toEqual([422, 'invalid-input', 'lines']);
    expect(await lab.refusal('/orders', { ...line({}), wantedBy: '2026-11-01' })).toEqual([
      422,
      'past-day',
      'wantedBy',
    ]);
    expect(await lab.refusal('/orders', { ...line({}), wantedBy: '2027-02-30' })).toEqual([422, 'bad-date', undefined]);
    const twice = { supplier: 'tidewater', lines: [1, 2].map((packs) => ({ product: 'tidewater-eosin-500', packs })) };
    expect(await lab.refusal('/orders', twice)).toEqual([422, 'product-twice', 'lines.1.product']);
    await lab.must('/products', product({ minimumPacks: 3 }));
    expect(await lab.refusal('/orders', line({}))).toEqual([422, 'below-minimum', 'lines.0.packs']);
    await lab.must('/products', product({ offered: false }));
    expect(await lab.refusal('/orders', line({ packs: 3 }))).toEqual([422, 'not-offered', 'lines.0.product']);
    await lab.must('/suppliers', supplier({ code: 'other' }));
    await lab.must('/products', product({ code: 'other-eosin', supplier: 'other' }));
    expect(await lab.refusal('/orders', line({ product: 'other-eosin' }))).toEqual([
      422,
      'other-supplier',
      'lines.0.product',
    ]);
    expect((await manager.get<OrderListDto>('/api/orders')).body.items).toEqual([]);
  });

  it('is acted on only where that makes sense, and as it was seen', async () => {
    const { id } = await lab.draft();
    expect(await lab.refusal(`/orders/${id}/sent`, { how: 'post' })).toEqual([409, 'order-draft', undefined]);
    expect(await lab.refusal(`/orders/${id}/receipts`, delivery())).toEqual([409, 'order-draft', undefined]);
    expect(await lab.refusal(`/orders/${id}/close`, { reason: 'over' })).toEqual([409, 'order-draft', undefined]);
    const lines = [{ product: 'tidewater-eosin-500', packs: 5 }];
    await lab.must(`/orders/${id}/lines`, { seen: 1, lines });
    expect(await lab.refusal(`/orders/${id}/approve`, { seen: 1 })).toEqual([409, 'order-changed', undefined]);
    expect(await lab.refusal(`/orders/${id}/lines`, { seen: 1, lines })).toEqual([409, 'order-changed', undefined]);
    await lab.must(`/orders/${id}/approve`, { seen: 2 });
    expect(await lab.refusal(`/orders/${id}/approve`, { seen: 3 })).toEqual([409, 'order-approved', undefined]);
    expect(await lab.refusal(`/orders/${id}/lines`, { seen: 3, lines })).toEqual([409, 'order-approved', undefined]);
    await lab.must(`/orders/${id}/cancel`, { reason: 'The supplier has none.' });
    expect(await lab.refusal(`/orders/${id}/receipts`, delivery())).toEqual([409, 'order-cancelled', undefined]);
    expect((await manager.get<Refused>(`/api/orders/${id}/order.pdf`)).body.code).toBe('no-document');

    const part = await lab.sent(1);
    await lab.must(`/orders/${part.id}/receipts`, delivery());
    expect(await lab.refusal(`/orders/${part.id}/cancel`, { reason: 'x' })).toEqual([
      409,
      'order-partly-in',
      undefined,
    ]);
    const closed = await lab.must<OrderDto>(`/orders/${part.id}/close`, { reason: 'The rest is out of stock there.' });
    expect(closed).toMatchObject({ state: 'closed', lines: [{ received: 2, open: 0 }] });
    await lab.must('/suppliers', supplier({ approved: false }));
    const { id: unapproved } = await lab.draft();
    expect(await lab.refusal(`/orders/${unapproved}/approve`, { seen: 1 })).toEqual([
      409,
      'supplier-not-approved',
      undefined,
    ]);
  });

  it('takes in what is odd only with a reason, or has it refused', async () => {
    const { id } = await lab.sent(1);
    const receive = `/orders/${id}/receipts`;
    // 180 days are promised; until the end of January there are 67.
    const short = delivery({ expiry: '2027-01-31', number: 'TW-26-32' });
    const asked = await manager.post<Refused>(`/api${receive}`, short);
    expect([asked.status, asked.body.code, asked.body.oddities]).toEqual([409, 'short-dated', ['short-dated']]);
    expect(asked.body.detail).toContain('180');
    expect((await lab.order(id)).receipts).toEqual([]);
    const refused = await lab.must<OrderDto>(`/orders/${id}/refusals`, {
      line: 0,
      number: 'TW-26-32',
      expiry: '2027-01-31',
      containers: 2,
      reason: 'Two months are too short.',
    });
    expect(refused).toMatchObject({
      state: 'sent',
      lines: [{ received: 0, open: 4 }],
      receipts: [{ kind: 'refused', lotId: null, reason: 'Two months are too short.' }],
    });
    const taken = await lab.must<OrderDto>(receive, { ...short, reason: 'Used up by Christmas.' });
    expect(taken.receipts.at(-1)).toMatchObject({ kind: 'taken in', reason: 'Used up by Christmas.' });

    const many = delivery({ containers: [{}, {}, {}] });
    expect(await lab.refusal(receive, many)).toEqual([409, 'over-delivery', 'reason']);
    await lab.must(
      '/products',
      product({ code: 'eosin-250', itemNumber: 'TW-1108', amount: { value: 250, unit: 'mL' }, gtin: undefined }),
    );
    const other = delivery({ product: 'eosin-250', number: 'TW-26-40', containers: [{}] });
    expect(await lab.refusal(receive, other)).toEqual([409, 'substitute', 'reason']);
    const substitute = await lab.must<OrderDto>(receive, { ...other, reason: 'The large ones are sold out.' });
    const lot = (await manager.get<LotDto>(`/api/lots/${substitute.receipts.at(-1)?.lotId}`)).body;
    expect(lot.containers[0]?.size).toBe('250 mL');
    await lab.must('/products', product({ code: 'saline-1', reagent: 'saline', gtin: undefined }));
    expect(await lab.refusal(receive, delivery({ product: 'saline-1', reason: 'x' }))).toEqual([
      422,
      'other-reagent',
      'product',
    ]);
    expect(await lab.refusal(receive, delivery({ line: 7 }))).toEqual([422, 'no-such-line', 'line']);
    expect(await lab.refusal(receive, delivery({ containers: [] }))).toEqual([422, 'invalid-input', 'containers']);
    expect(await lab.refusal(receive, delivery({ expiry: undefined, reason: 'x' }))).toEqual([
      422,
      'no-expiry',
      'expiry',
    ]);
  });

  it('is written by managers and directors, received by technicians and read by reviewers', async () => {
    const technician = await test.as('technician');
    const reviewer = await test.as('reviewer');
    const { id } = await lab.sent(1);
    for (const [path, body] of [
      ['/orders', { supplier: 'tidewater', lines: [] }],
      [`/orders/${id}/cancel`, { reason: 'x' }],
      ['/suppliers', supplier()],
      ['/products', product()],
    ] as const) {
      expect((await technician.post(`/api${path}`, body)).status).toBe(403);
    }
    expect((await technician.post(`/api/orders/${id}/receipts`, delivery())).status).toBe(201);
    expect((await reviewer.get<OrderDto>(`/api/orders/${id}`)).body.state).toBe('partly in');
    expect((await reviewer.post(`/api/orders/${id}/receipts`, delivery())).status).toBe(403);
    expect((await manager.get<Refused>('/api/orders/none')).status).toBe(404);
  });

  it('keeps products that are bought as what they are', async () => {
    expect(await lab.refusal('/products', product({ amount: { value: 500, unit: 'g' } }))).toEqual([
      422,
      'unit-mismatch',
      'amount',
    ]);
    expect(await lab.refusal('/products', product({ gtin: '09521234543214' }))).toEqual([422, 'check-digit', 'gtin']);
    expect(await lab.refusal('/products', product({ reagent: 'eosin-y-aquous' }))).toEqual([
      422,
      'unknown-reagent',
      'reagent',
    ]);
    expect(await lab.refusal('/products', product({ reagent: 'saline' }))).toEqual([409, 'other-reagent', 'reagent']);
    expect(await lab.refusal('/products', product({ code: 'x', supplier: 'nobody' }))).toEqual([
      422,
      'unknown-supplier',
      'supplier',
    ]);
    const policy = {
      serviceLevel: 0.98,
      coverDays: 30,
      reviewDays: 7,
      acceptanceDays: 3,
      method: 'auto',
      alpha: 0.1,
      beta: 0.05,
    };
    expect(await lab.must(`/stock-policies/${EOSIN}`, { ...policy, product: 'tidewater-eosin-500' })).toMatchObject({
      reagent: EOSIN,
    });
    expect(await lab.refusal(`/stock-policies/${EOSIN}`, { ...policy, product: 'x' })).toEqual([
      422,
      'unknown-product',
      'product',
    ]);
    expect(await lab.refusal(`/stock-policies/${EOSIN}`, { ...policy, serviceLevel: 1 })).toEqual([
      422,
      'invalid-input',
      'serviceLevel',
    ]);
    expect((await manager.get<Refused>('/api/outlook/no-such')).status).toBe(404);
  });

  it('makes a letter and a table that say what was ordered', async () => {
    await lab.must('/suppliers', supplier({ name: '=Dünenwasser & Söhne (invented)' }));
    const { id } = await lab.sent(2);
    const csv = await manager.get<string>(`/api/orders/${id}/order.csv`);
    expect(csv.headers.get('content-disposition')).toContain('order-2026-0001.csv');
    expect(parse(csv.body, { columns: true })).toEqual([
      {
        order: '2026-0001',
        date: '2026-11-25',
        line: '1',
        item_number: 'TW-1107',
        gtin: '09521234543213',
        name: 'Eosin Y, aqueous',
        packs: '2',
        containers_per_pack: '4',
        amount_per_container: '500',
        unit_ucum: 'mL',
        price_per_pack: '84.50',
        line_total: '169.00',
        currency: 'EUR',
        wanted_by: '',
      },
    ]);
    const pdf = await fetch(`${test.url}/api/orders/${id}/order.pdf`, { headers: manager.headers });
    expect(pdf.headers.get('content-type')).toBe('application/pdf');
    expect(
      Buffer.from(await pdf.arrayBuffer())
        .subarray(0, 5)
        .toString(),
    ).toBe('%PDF-');
  });
});

const SCHEMA = fileURLToPath(new URL('../vectors/ubl-2.1/maindoc/UBL-Order-2.1.xsd', import.meta.url));

// OASIS UBL 2.1 (ISO/IEC 19845:2015), its own schema: test/vectors/ubl-2.1.
describeWith('xmllint', 'The UBL 2.1 Order', (xmllint) => {
  let database: FreshDatabase;
  let folder: string;

  beforeEach(async () => {
    database = await freshSqlite();
    folder = await mkdtemp(join(tmpdir(), 'ubl-'));
  });

  afterEach(async () => {
    await database.drop();
    await rm(folder, { recursive: true });
  });

  const validate = async (xml: string): Promise<string> => {
    const file = join(folder, 'order.xml');
    await writeFile(file, xml);
    return promisify(execFile)(xmllint, ['--noout', '--nonet', '--schema', SCHEMA, file]).then(
      ({ stderr }) => stderr,
      (error: { stderr: string }) => error.stderr,
    );
  };

  it('is valid by the schema of OASIS, in full and with as little as may be known', async () => {
    const lab = await furnished(database);
    const { test, manager } = lab;
    const ubl = async (id: string): Promise<string> => (await manager.get<string>(`/api/orders/${id}/order.xml`)).body;
    await lab.must('/suppliers', supplier({ name: 'Tarn & Wick <supply> (invented)' }));
    const full = await ubl((await lab.sent(2)).id);
    expect(await validate(full)).toContain('validates');
    for (const part of [
      '<cbc:ID>2026-0001</cbc:ID>',
      '<cbc:IssueDate>2026-11-25</cbc:IssueDate>',
      '<cbc:ID schemeID="GTIN">09521234543213</cbc:ID>',
      '<cbc:PriceAmount currencyID="EUR">84.50</cbc:PriceAmount>',
      '<cbc:PackQuantity unitCode="MLT">500</cbc:PackQuantity>',
      'Tarn &amp; Wick &lt;supply&gt; (invented)',
    ]) {
      expect(full).toContain(part);
    }
    await lab.must('/suppliers', { code: 'bare', name: 'Bare supply (invented)', approved: true });
    await lab.must('/products', product({ code: 'bare-eosin', supplier: 'bare', gtin: undefined }));
    const { id } = await lab.must<OrderDto>('/orders', {
      supplier: 'bare',
      lines: [{ product: 'bare-eosin', packs: 1 }],
      wantedBy: '2026-12-24',
    });
    await lab.must(`/orders/${id}/approve`, { seen: 1 });
    const bare = await ubl(id);
    expect(await validate(bare)).toContain('validates');
    expect(bare).toContain('<cbc:EndDate>2026-12-24</cbc:EndDate>');
    // UBL's document rules know no empty elements (rule IND5, as regulations.md of the sources recalls it).
    expect(bare).not.toMatch(/<[^>]+\/>|<([a-zA-Z:]+)><\/\1>/);
    // The check itself can fail.
    expect(
      await validate(
        full.replace('<cbc:IssueDate>', '<cbc:IssueTime>').replace('</cbc:IssueDate>', '</cbc:IssueTime>'),
      ),
    ).toContain('fails to validate');
    await test.stop();
  });
});
