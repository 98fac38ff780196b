import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type {
  BookedDto,
  CountDto,
  CountListDto,
  MovementListDto,
  OnHandDto,
  OnHandListDto,
  OpenCountListDto,
  WasteDto,
} from '../../src/contract/ledger.dto.js';
import { reportRecord } from '../../src/cli/verify.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { HandClock } from '../../src/clock.js';
import { Refusal } from '../../src/core/refusal.js';
import { plusMs } from '../../src/core/time/instant.js';
import { book, MOVEMENTS_A_BALANCE } from '../../src/store/acts/book.js';
import { connect } from '../../src/store/data-source.js';
import { onHandOf, proveBalances } from '../../src/store/questions/ledger.js';
import { BalanceRow } from '../../src/store/rows/ledger.entity.js';
import { Store } from '../../src/store/store.js';
import { type Answer, type Client, LABORATORY, START, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, freshPostgres, freshSqlite, type FreshDatabase } from '../support/databases.js';
import { Bench, furnish } from '../support/furnish.js';
import { describeWith } from '../support/needs.js';

interface Refused {
  code: string;
  detail: string;
  problems?: { at: string; message: string }[];
  onHand?: { value: number; unit: string };
}

const DAY_MS = 86_400_000;
const PROGRAM = { laboratoryId: LABORATORY, personId: null, deviceId: null };
const mL = (value: number) => ({ value, unit: 'mL' });

let database: FreshDatabase;
let test: TestApp;
let manager: Client;

async function open(fresh: () => Promise<FreshDatabase>): Promise<void> {
  database = await fresh();
  test = await startApp(database);
  manager = await test.as('manager');
}

async function shut(): Promise<void> {
  await test.stop();
  await database.drop();
}

async function receive(changes: object = {}): Promise<LotDto> {
  const answer = await manager.post<LotDto>('/api/lots', {
    reagent: 'acridine-orange-working',
    number: 'QUILL-7',
    source: 'Tidewater Reagents',
    expiry: '2027-01-31',
    containers: [{ amount: mL(100) }],
    ...changes,
  });
  if (answer.status !== 201) throw new Error(JSON.stringify(answer.body));
  return answer.body;
}

/** Days later, when sessions of today are over. */
async function later(days: number): Promise<void> {
  test.clock.forward(days * DAY_MS);
  manager = await test.as('manager');
}

function idOf(lot: LotDto, n = 0): string {
  const id = lot.containers[n]?.id;
  if (id === undefined) throw new Error(`the lot has no container ${n}`);
  return id;
}

const move = (id: string, body: object, client = manager): Promise<Answer<BookedDto & Refused>> =>
  client.post<BookedDto & Refused>(`/api/containers/${id}/movements`, body);
const count = (id: string, body: object): Promise<Answer<CountDto & Refused>> =>
  manager.post<CountDto & Refused>(`/api/containers/${id}/count`, body);
async function shelf(query = ''): Promise<OnHandDto[]> {
  return (await manager.get<OnHandListDto>(`/api/stock/on-hand${query}`)).body.items;
}
async function ledger(query = ''): Promise<MovementListDto['items']> {
  return (await manager.get<MovementListDto>(`/api/ledger${query}`)).body.items;
}
const openCounts = async () => (await manager.get<OpenCountListDto>('/api/stock/counts/open')).body.items;

describeOnEachDatabase('The ledger', (fresh) => {
  beforeEach(() => open(fresh));
  afterEach(shut);

  it('books what was received, used, discarded and put right, and answers what is left', async () => {
    const id = idOf(await receive());
    const used = await move(id, { kind: 'used', amount: { value: 2_500, unit: 'uL' } });
    expect(used.status).toBe(201);
    expect(used.body.onHand).toEqual(mL(97.5));
    expect(used.body.movement).toMatchObject({ kind: 'used', amount: mL(-2.5), day: '2026-11-25', at: START });
    expect((await move(id, { kind: 'discarded', amount: mL(7.5), reason: 'cloudy' })).body.onHand).toEqual(mL(90));
    expect((await move(id, { kind: 'adjusted', amount: mL(-1), reason: 'spilt' })).body.onHand).toEqual(mL(89));
    expect((await move(id, { kind: 'adjusted', amount: mL(1), reason: 'was not spilt' })).body.onHand).toEqual(mL(90));
    expect((await ledger(`?container=${id}`)).map(({ kind, amount }) => [kind, amount.value])).toEqual([
      ['adjusted', 1],
      ['adjusted', -1],
      ['discarded', -7.5],
      ['used', -2.5],
      ['received', 100],
    ]);
    expect(await ledger('?kind=discarded&reagent=acridine-orange-working')).toHaveLength(1);
    expect(await ledger('?from=2026-11-26')).toEqual([]);
    const { items, next } = (await manager.get<MovementListDto>('/api/ledger?take=2')).body;
    const rest = (await manager.get<MovementListDto>(`/api/ledger?take=3&after=${next ?? ''}`)).body;
    expect([...items, ...rest.items].map(({ amount }) => amount.value)).toEqual([1, -1, -7.5, -2.5, 100]);
  });

  it('tells one of two people who take the last of a bottle at the same instant, and stays true', async () => {
    const id = idOf(await receive({ containers: [{ amount: mL(3) }] }));
    const others = await Promise.all([test.as('technician'), test.as('technician'), test.as('technician')]);
    const answers = await Promise.all(others.map((client) => move(id, { kind: 'used', amount: mL(2) }, client)));
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409, 409]);
    const told = answers.find(({ status }) => status === 409)?.body;
    expect(told).toMatchObject({ code: 'not-enough', onHand: mL(1), detail: expect.stringContaining('holds 1 mL') });
    expect((await shelf())[0]?.total).toEqual(mL(1));
  });

  it('shortens long sums by balances that are proven equal, and shows one that is false', async () => {
    const id = idOf(await receive());
    const booking = (unit: Parameters<typeof book>[0]) => book(unit, { kind: 'used', containerId: id, micro: -10_000 });
    for (let n = 0; n < MOVEMENTS_A_BALANCE + 20; n += 10) {
      await test.store.change(PROGRAM, 'stock.used', async (unit) => {
        for (let k = 0; k < 10; k++) await booking(unit);
        unit.about('container', id);
      });
    }
    const balances = await test.store.read(LABORATORY, (view) => view.all(BalanceRow));
    expect(balances).toHaveLength(1);
    expect(balances[0]?.micro).toBe(100_000_000 - MOVEMENTS_A_BALANCE * 10_000);
    expect(await test.store.read(LABORATORY, (view) => onHandOf(view, id))).toBe(98_800_000);
    expect((await shelf())[0]?.total).toEqual(mL(98.8));
    expect(await test.store.read(LABORATORY, proveBalances)).toEqual([]);
    await test.store.connections.writer.query('UPDATE balance SET micro = micro + 1');
    expect(await test.store.read(LABORATORY, proveBalances)).toMatchObject([{ containerId: id, kept: 99_000_001 }]);
    const told: string[] = [];
    await reportRecord(test.store, { signed: [], publicKeys: [] }, (line) => told.push(line));
    expect(told.join('\n')).toMatch(/, ledger: the balance of SW1:C:\S+ up to record \d+ is 99000001 millionths/);
  });

  it('keeps a count with what was expected, and puts the ledger right by the difference', async () => {
    const id = idOf(await receive());
    expect((await count(id, { amount: mL(100) })).body).toMatchObject({ variance: mL(0), reason: null });
    expect(await ledger()).toHaveLength(1);
    expect((await count(id, { amount: mL(80) })).body).toMatchObject({
      code: 'variance-without-reason',
      problems: [{ at: 'reason' }],
    });
    const counted = await count(id, { amount: { value: 0.08, unit: 'L' }, reason: 'two rinses not written down' });
    expect(counted.status).toBe(201);
    expect(counted.body).toMatchObject({ expected: mL(100), counted: mL(80), variance: mL(-20), day: '2026-11-25' });
    expect((await ledger())[0]).toMatchObject({ kind: 'adjusted', amount: mL(-20) });
    expect((await shelf())[0]?.containers[0]).toMatchObject({ onHand: mL(80), countedAt: START, countDue: false });
    const report = (await manager.get<CountListDto>('/api/stock/counts?onlyVariances=true')).body.items;
    expect(report.map(({ variance, reason }) => [variance.value, reason])).toEqual([
      [-20, 'two rinses not written down'],
    ]);
    expect((await count(id, { amount: mL(0), reason: 'empty' })).body).toMatchObject({ variance: mL(-80) });
  });

  it('lists what is here, first expired first, with what speaks against it, and what it is worth', async () => {
    const late = await receive({ number: 'LATE', expiry: '2027-06-30', priceCents: 8_000 });
    const soon = await receive({ number: 'SOON', expiry: '2026-12-31', containers: [{ amount: mL(50) }, {}] });
    const over = await receive({ number: 'OVER', expiry: '2026-11-26', priceCents: 1_000 });
    await receive({ number: 'WAIT', expiry: '2026-12-01' });
    for (const { id } of [late, soon, over]) {
      await manager.post(`/api/lots/${id}/decisions`, { standing: 'accepted', reason: 'compared' });
    }
    await move(idOf(late), { kind: 'used', amount: mL(25) });
    await later(3);
    const [stock] = await shelf('?reagent=acridine-orange-working');
    expect(
      stock?.containers.map(({ lotNumber, usable, over: isOver, onHand }) => [lotNumber, usable, isOver, onHand]),
    ).toEqual([
      ['SOON', true, false, mL(50)],
      ['SOON', true, false, null],
      ['LATE', true, false, mL(75)],
      ['OVER', false, true, mL(100)],
      ['WAIT', false, false, mL(100)],
    ]);
    expect(stock).toMatchObject({
      total: mL(325),
      usable: mL(125),
      promised: mL(0),
      valueCents: 7_000,
      overCents: 1_000,
      unpriced: 2,
    });
    expect(stock?.containers[2]).toMatchObject({ state: 'unopened', undated: true, valueCents: 6_000 });
    expect(stock?.containers[3]?.reasons.map(({ code }) => code)).toEqual(['past-expiry']);
  });

  it('says what was thrown away or is past its end, by month, with what it cost', async () => {
    const lot = await receive({
      expiry: '2026-11-26',
      priceCents: 1_000,
      containers: [{ amount: mL(100) }, { amount: mL(40) }],
    });
    await move(idOf(lot), { kind: 'discarded', amount: mL(30), reason: 'cloudy' });
    await later(10);
    const waste = async (span: string) => (await manager.get<WasteDto & Refused>(`/api/stock/waste?${span}`)).body;
    expect((await waste('from=2026-11&to=2026-12')).items).toEqual([
      {
        month: '2026-11',
        reagent: 'acridine-orange-working',
        name: expect.any(String),
        discarded: mL(30),
        expired: mL(110),
        cents: 300 + 700 + 1_000,
        unpriced: 0,
      },
    ]);
    expect((await waste('from=2026-12&to=2026-12')).items).toEqual([]);
    expect((await waste('from=2026-12&to=2026-11')).code).toBe('bad-span');
  });
});

describe('Consumption by runs', () => {
  beforeEach(() => open(freshSqlite));
  afterEach(shut);

  const dye = 'acridine-orange-working';

  it('is promised while the run goes on, booked once it is cleared, and asks for a count where paper fell short', async () => {
    const furnished = await furnish(test, { now: START });
    const bench = new Bench(test, await test.as('technician'), furnished);
    const dyeBottle = furnished.containers[dye] ?? '';
    await count(dyeBottle, { amount: mL(100), reason: 'first count' });
    const runId = await bench.start();
    await bench.play(runId);
    const [before] = await shelf(`?reagent=${dye}`);
    expect([before?.total, before?.promised]).toEqual([mL(100), mL(2)]);
    await bench.must(runId, 'cleared', {});
    const [after] = await shelf(`?reagent=${dye}`);
    expect([after?.total, after?.promised]).toEqual([mL(98), mL(0)]);
    expect(await ledger(`?run=${runId}`)).toMatchObject([
      { kind: 'used', reagent: dye, amount: mL(-2), short: null },
      { kind: 'used', reagent: 'saline', amount: mL(0), short: mL(10) },
    ]);
    const saline = furnished.containers['saline'] ?? '';
    expect(await openCounts()).toMatchObject([{ containerId: saline, runId, short: mL(10) }]);
    await count(saline, { amount: mL(490), reason: 'never booked in' });
    expect(await openCounts()).toEqual([]);
    expect((await shelf('?reagent=saline'))[0]?.total).toEqual(mL(490));
  });

  it('is booked for what was done when a run is abandoned, and not again when its place is cleared', async () => {
    const furnished = await furnish(test, { now: START });
    const bench = new Bench(test, await test.as('technician'), furnished);
    const bottle = furnished.containers[dye] ?? '';
    await count(bottle, { amount: mL(100), reason: 'first count' });
    const runId = await bench.start();
    await bench.must(runId, 'tray-scanned', { reagent: dye, container: bottle });
    await bench.must(runId, 'step-started', { step: 'dye' });
    await bench.must(runId, 'abandoned', { reason: 'core lost' });
    await bench.must(runId, 'cleared', {});
    expect(await ledger(`?run=${runId}`)).toMatchObject([{ containerId: bottle, amount: mL(-2) }]);
  });
});

describe('What cannot be booked', () => {
  beforeEach(() => open(freshSqlite));
  afterEach(shut);

  it('is refused by field, and nothing is booked', async () => {
    const id = idOf(await receive());
    const wrong = async (body: object): Promise<[number, string, string | undefined]> => {
      const { status, body: told } = await move(id, { kind: 'used', amount: mL(1), ...body });
      return [status, told.code, told.problems?.[0]?.at];
    };
    expect(await wrong({ amount: { value: 1, unit: 'g' } })).toEqual([422, 'unit-mismatch', 'amount']);
    expect(await wrong({ amount: { value: 1, unit: 'µL' } })).toEqual([422, 'wrong-unit', 'amount']);
    expect(await wrong({ amount: mL(-1) })).toEqual([422, 'bad-quantity', 'amount']);
    expect(await wrong({ amount: mL(0) })).toEqual([422, 'bad-quantity', 'amount']);
    expect(await wrong({ amount: mL(1e15) })).toEqual([422, 'bad-quantity', 'amount']);
    expect(await wrong({ amount: { value: '1', unit: 'mL' } })).toEqual([422, 'invalid-input', 'amount.value']);
    expect(await wrong({ at: plusMs(START, 60_000) })).toEqual([422, 'future', 'at']);
    expect(await wrong({ at: plusMs(START, -60_000) })).toEqual([422, 'before-receipt', 'at']);
    expect(await wrong({ kind: 'received' })).toEqual([422, 'invalid-input', 'kind']);
    expect(await wrong({ kind: 'discarded' })).toEqual([422, 'reason-missing', 'reason']);
    expect(await wrong({ amount: mL(101) })).toEqual([409, 'not-enough', undefined]);
    expect((await move('made-up', { kind: 'used', amount: mL(1) })).status).toBe(404);
    expect((await count(id, { amount: { value: 1, unit: 'g' } })).body.code).toBe('unit-mismatch');
    expect((await count(id, { amount: mL(-1) })).body.code).toBe('bad-quantity');
    expect(await ledger()).toHaveLength(1);
  });

  it('is never doubled by a repeat of the same request', async () => {
    const id = idOf(await receive());
    const headers = { 'idempotency-key': 'once' };
    const body = { kind: 'used', amount: mL(1) };
    const first = await manager.post<BookedDto>(`/api/containers/${id}/movements`, body, { headers });
    const again = await manager.post<BookedDto>(`/api/containers/${id}/movements`, body, { headers });
    expect(again.body.movement.id).toBe(first.body.movement.id);
    expect(await ledger()).toHaveLength(2);
  });
});

describe('Any sequence of movements on the real store', () => {
  beforeEach(() => open(freshSqlite));
  afterEach(shut);

  it('leaves what a model says, never less than nothing', async () => {
    const lot = await receive({ containers: [{ amount: mL(5) }, { amount: mL(5) }] });
    const model = new Map([idOf(lot, 0), idOf(lot, 1)].map((id) => [id, 5_000_000]));
    const step = fc.record({
      n: fc.constantFrom(0, 1),
      kind: fc.constantFrom('used' as const, 'discarded' as const, 'adjusted' as const, 'moved' as const),
      micro: fc.integer({ min: -4_000_000, max: 4_000_000 }),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(step, { minLength: 1, maxLength: 12 }), async (sequence) => {
        // All at once, as many people would: the store puts them in a row, and each is booked or refused.
        await Promise.all(
          sequence.map(async ({ n, kind, micro }) => {
            const containerId = idOf(lot, n);
            try {
              await test.store.change(PROGRAM, `stock.${kind}`, async (unit) => {
                await book(unit, { kind, containerId, micro });
                unit.about('container', containerId);
              });
              model.set(containerId, (model.get(containerId) ?? 0) + micro);
            } catch (error) {
              if (!(error instanceof Refusal) && !(error instanceof RangeError)) throw error;
            }
          }),
        );
        for (const [id, micro] of model) {
          expect(micro).toBeGreaterThanOrEqual(0);
          expect(await test.store.read(LABORATORY, (view) => onHandOf(view, id))).toBe(micro);
        }
      }),
      { numRuns: 15 },
    );
    expect(await test.store.read(LABORATORY, proveBalances)).toEqual([]);
  });
});

describeWith('postgres', 'Two processes on one database', () => {
  beforeEach(() => open(freshPostgres));
  afterEach(shut);

  it('do not both take the last of a bottle', async () => {
    const id = idOf(await receive({ containers: [{ amount: mL(10) }] }));
    const other = new Store(await connect(database.address), new HandClock(Date.parse(START)));
    const take = (store: Store) =>
      store.change(PROGRAM, 'stock.used', async (unit) => {
        await book(unit, { kind: 'used', containerId: id, micro: -1_000_000 });
        unit.about('container', id);
      });
    const all = await Promise.allSettled(Array.from({ length: 24 }, (_, n) => take(n % 2 === 0 ? test.store : other)));
    await other.close();
    const refused = all.flatMap((each) => (each.status === 'rejected' ? [each.reason as Refusal] : []));
    expect(all.length - refused.length).toBe(10);
    expect(new Set(refused.map(({ code }) => code))).toEqual(new Set(['not-enough']));
    expect(await test.store.read(LABORATORY, (view) => onHandOf(view, id))).toBe(0);
  });
});
