import { afterAll, afterEach, beforeAll, beforeEach, expect, it } from '@jest/globals';
import type { ContainerDto, LotDto, LotListDto, ScannedDto } from '../../src/contract/stock.dto.js';
import { makeLabel } from '../../src/core/gs1/label.js';
import { type Client, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}

/** Fourteen digits that begin as the examples in the GS1 General Specifications do, check digit included. */
function productNumber(n: number): string {
  const digits = `0952123454${String(n).padStart(3, '0')}`;
  // GS1 General Specifications, section 7.9: weights 3 and 1 in turn over the first thirteen digits.
  const sum = [...digits].reduce((all, digit, i) => all + Number(digit) * (i % 2 === 0 ? 3 : 1), 0);
  return `${digits}${(10 - (sum % 10)) % 10}`;
}

let database: FreshDatabase;
let test: TestApp;
let manager: Client;
/** Each test has a product, a lot number and serial numbers of its own, so that tests may share a program. */
let tests = 0;
let GTIN: string;
let NUMBER: string;
const serial = (name: string): string => `${name}-${tests}`;
let before: Set<string>;

async function begin(fresh: () => Promise<FreshDatabase>): Promise<void> {
  database = await fresh();
  test = await startApp(database);
  manager = await test.as('manager');
}

async function anew(): Promise<void> {
  tests += 1;
  GTIN = productNumber(tests);
  NUMBER = `QUILL-${tests}`;
  before = new Set((await manager.get<LotListDto>('/api/lots?take=200')).body.items.map(({ id }) => id));
}

async function end(): Promise<void> {
  await test.stop();
  await database.drop();
}

const dye = (changes: object = {}) => ({
  reagent: 'acridine-orange-working',
  number: NUMBER,
  gtin: GTIN,
  source: 'Quill Dyeworks',
  expiry: '2027-01-31',
  openedLife: 'P30D',
  containers: [{}],
  ...changes,
});
const receive = async (changes: object = {}): Promise<LotDto> => {
  const { status, body } = await manager.post<LotDto>('/api/lots', dye(changes));
  if (status !== 201) throw new Error(JSON.stringify(body));
  return body;
};
const refusal = async (changes: object): Promise<[number, string, string | undefined]> => {
  const { status, body } = await manager.post<Refused>('/api/lots', dye(changes));
  return [status, body.code, body.problems?.[0]?.at];
};
const decide = (lot: LotDto, standing: string) =>
  manager.post<LotDto & Refused>(`/api/lots/${lot.id}/decisions`, {
    standing,
    reason: 'Compared with the last lot.',
  });
const state = (lot: LotDto, body: object, n = 0) =>
  manager.post<ContainerDto & Refused>(`/api/containers/${lot.containers[n]?.id}/state`, body);
const scan = async (text: string, client = manager): Promise<ScannedDto> =>
  (await client.post<ScannedDto>('/api/scan', { text })).body;
/** A lot that is accepted, with its first container open. */
const inUse = async (changes: object = {}): Promise<LotDto> => {
  const lot = await receive(changes);
  await decide(lot, 'accepted');
  await state(lot, { state: 'opened' });
  return lot;
};
/** How many lots were received since the test began. */
const received = async (): Promise<number> => {
  const all = (await manager.get<LotListDto>('/api/lots?take=200')).body.items;
  return all.filter(({ id }) => !before.has(id)).length;
};

// The test laboratory lies in the Azores, which keep UTC-1 in winter and UTC from 2027-03-28 (IANA time zone database).
describeOnEachDatabase('Stock', (fresh) => {
  beforeAll(() => begin(fresh));
  beforeEach(anew);
  afterAll(end);

  it('takes in a lot with its limit reckoned in the laboratory’s zone, and quarantines it', async () => {
    const lot = await receive({ containers: [{ serial: serial('A1'), size: '100 mL' }, {}] });
    expect(lot).toMatchObject({
      reagent: 'acridine-orange-working',
      gtin: GTIN,
      standing: 'quarantined',
      limits: [{ by: 'expiry', until: '2027-02-01T01:00:00.000Z' }],
      usableUntil: '2027-02-01T01:00:00.000Z',
    });
    expect(lot.containers.map(({ serial: own, size, state: now }) => [own, size, now])).toEqual([
      [serial('A1'), '100 mL', 'unopened'],
      [null, null, 'unopened'],
    ]);
    for (const { label } of lot.containers) expect(label).toMatch(/^SW1:C:[0-9A-Z]{4}-[0-9A-Z]{5}$/);
    expect((await manager.get<LotDto>(`/api/lots/${lot.id}`)).body).toEqual(lot);
  });

  // 42 CFR 493.1252(d): nothing is used past its expiry. The end of a printed month and of the local day: common practice.
  it('reads an expiry by month, day or minute and refuses one that cannot be', async () => {
    const until = async (expiry: string, number: string) => (await receive({ expiry, number })).usableUntil;
    expect(await until('2027-02', 'M')).toBe('2027-03-01T01:00:00.000Z');
    expect(await until('2027-06-30', 'D')).toBe('2027-07-01T00:00:00.000Z');
    expect(await until('2027-01-31T14:30', 'T')).toBe('2027-01-31T15:30:00.000Z');
    expect(await refusal({ expiry: '2027-02-29' })).toEqual([422, 'bad-date', 'expiry']);
    expect(await refusal({ expiry: '31/01/2027' })).toEqual([422, 'bad-date', 'expiry']);
    expect(await refusal({ expiry: '2127-01-31' })).toEqual([422, 'implausible', 'expiry']);
    expect(await refusal({ expiry: undefined })).toEqual([422, 'no-expiry', 'expiry']);
  });

  it('refuses what does not fit, saying where and what would be right', async () => {
    const { body } = await manager.post<Refused>('/api/lots', dye({ reagent: 'acridine-orange-workign' }));
    expect(body).toMatchObject({
      code: 'unknown-reagent',
      problems: [{ at: 'reagent', message: expect.stringContaining('acridine-orange-working') }],
    });
    // GS1 General Specifications, section 7.9: the check digit of 0952123454321 is 3.
    expect(await refusal({ gtin: '09521234543214' })).toEqual([422, 'check-digit', 'gtin']);
    expect(await refusal({ openedLife: '-P30D' })).toEqual([422, 'bad-life', 'openedLife']);
    expect(await refusal({ openedLife: 'P900Y' })).toEqual([422, 'implausible', 'openedLife']);
    expect(await refusal({ openedLife: 'P1DT2H' })).toEqual([422, 'bad-life', 'openedLife']);
    expect(await refusal({ number: ` ${NUMBER}` })).toEqual([422, 'invalid-input', 'number']);
    expect(await refusal({ containers: [] })).toEqual([422, 'invalid-input', 'containers']);
    // What is made here goes another way, with what it is made of.
    expect(await refusal({ life: 'P7D' })).toEqual([422, 'invalid-input', 'life']);
    expect(await received()).toBe(0);
  });

  it('refuses a label that is wrong, of another kind or taken, and a serial number taken', async () => {
    const label = makeLabel('C', '7K3M-0042');
    const lot = await receive({ containers: [{ label: label.toLowerCase(), serial: serial('A1') }] });
    expect(lot.containers[0]?.label).toBe(label);
    const at = (field: string) => `containers.1.${field}`;
    const containers = (second: object) => ({ number: `${NUMBER}-8`, containers: [{}, second] });
    expect(await refusal(containers({ label }))).toEqual([409, 'label-taken', at('label')]);
    expect(await refusal(containers({ label: makeLabel('S', '7K3M-0043') }))).toEqual([422, 'other-kind', at('label')]);
    const wrong = `${label.slice(0, -1)}${label.endsWith('X') ? 'Y' : 'X'}`;
    expect(await refusal(containers({ label: wrong }))).toEqual([422, 'bad-label', at('label')]);
    expect(await refusal(containers({ serial: serial('A1') }))).toEqual([409, 'serial-taken', at('serial')]);
    expect(
      await refusal({ number: `${NUMBER}-8`, containers: [{ serial: serial('B1') }, { serial: serial('B1') }] }),
    ).toEqual([409, 'serial-taken', at('serial')]);
    expect((await manager.get<LotListDto>(`/api/lots?number=${NUMBER}-8`)).body.items).toEqual([]);
  });

  it('takes the same lot in a second shipment, but not with another expiry or as another reagent', async () => {
    await receive({ expiry: '2027-01' });
    await receive({ expiry: '2027-01-31' });
    expect((await manager.get<LotListDto>(`/api/lots?number=${NUMBER}`)).body.items).toHaveLength(2);
    expect(await refusal({ expiry: '2027-02-28' })).toEqual([409, 'other-expiry', 'expiry']);
    expect(await refusal({ reagent: 'eosin-y-aqueous', number: 'E' })).toEqual([409, 'other-reagent', 'gtin']);
  });

  it('opens a container once, with the end of its opened life, and never after it was discarded', async () => {
    const lot = await receive({ containers: [{}, {}] });
    const opened = await state(lot, { state: 'opened' });
    expect([opened.status, opened.body.state]).toEqual([201, 'opened']);
    // 30 days from 25 November end with 25 December; the day after begins at 01:00 UTC.
    expect(opened.body.limits).toContainEqual({ by: 'opened', until: '2026-12-26T01:00:00.000Z' });
    expect((await state(lot, { state: 'opened' })).body.code).toBe('container-opened');
    expect((await state(lot, { state: 'emptied' }, 1)).body.code).toBe('container-unopened');
    expect((await state(lot, { state: 'discarded', reason: 'Cloudy.' })).body.state).toBe('discarded');
    for (const next of ['opened', 'emptied', 'discarded']) {
      const { status, body } = await state(lot, { state: next });
      expect([status, body.code]).toEqual([409, 'container-discarded']);
    }
  });

  it('finds the lot by a bar code of the maker, and the container by its serial number', async () => {
    const lot = await inUse({ containers: [{ serial: serial('A1') }, { serial: serial('A2') }] });
    // GS1 General Specifications, section 7.8: (10) ends at the separator, the others by themselves.
    const element = `]d201${GTIN}1727013110${NUMBER}\u001d21${serial('A1')}`;
    expect(await scan(element)).toMatchObject({
      kind: 'container',
      usable: true,
      container: { id: lot.containers[0]?.id },
    });
    expect(await scan(`(01)${GTIN}(17)270131(10)${NUMBER}`)).toMatchObject({
      kind: 'lot',
      lot: { id: lot.id },
      usable: true,
      needsConfirmation: false,
      gs1: { gtin: GTIN, lot: NUMBER, expiry: '2027-01-31' },
    });
    expect(await scan(`https://id.example.org/01/${GTIN}/10/${NUMBER}`)).toMatchObject({
      kind: 'lot',
      lot: { id: lot.id },
    });
    expect(await scan(`(01)${GTIN}(17)270131(10)${NUMBER}-9`)).toMatchObject({
      kind: 'reagent',
      reagent: { code: 'acridine-orange-working' },
      message: expect.stringContaining(`${NUMBER}-9 was not received here`),
    });
    expect(await scan(GTIN)).toMatchObject({ kind: 'reagent', warnings: [{ code: 'GS1_GTIN_ONLY' }] });
  });

  // GS1 General Specifications, section 7.8: without its separator (10) swallows what follows it.
  it('matches no lot after a lost separator, though it names what it may be', async () => {
    const lot = await inUse({ gtin: GTIN });
    const lost = await scan(`]d201${GTIN}10${NUMBER}17270131`);
    expect(lost).toMatchObject({
      kind: 'reagent',
      needsConfirmation: true,
      warnings: [{ code: 'GS1_SEPARATOR_LOST' }],
      candidates: [{ id: lot.id }],
    });
    expect(lost.lot).toBeUndefined();
    expect(lost.usable).toBeUndefined();
  });

  it('asks for confirmation when the expiry differs, shipments cannot be told apart or only the number is the same', async () => {
    const first = await inUse({ containers: [{ serial: serial('A1') }] });
    expect(await scan(`(01)${GTIN}(17)270228(10)${NUMBER}`)).toMatchObject({
      needsConfirmation: true,
      warnings: [{ code: 'expiry-differs' }],
      candidates: [{ id: first.id }],
    });
    const second = await receive({ containers: [{ serial: serial('B1') }] });
    expect(await scan(`(01)${GTIN}(17)270131(10)${NUMBER}`)).toMatchObject({
      needsConfirmation: true,
      warnings: [{ code: 'several-shipments' }],
    });
    expect(await scan(`(01)${GTIN}(17)270131(10)${NUMBER}(21)${serial('B1')}`)).toMatchObject({
      kind: 'container',
      container: { id: second.containers[0]?.id },
      needsConfirmation: false,
    });
    const plain = await receive({ gtin: undefined, number: 'PLAIN-1' });
    const byNumber = await scan(`(01)${GTIN}(10)PLAIN-1`);
    expect(byNumber).toMatchObject({ needsConfirmation: true, candidates: [{ id: plain.id }] });
    expect(byNumber.lot).toBeUndefined();
  });

  it('says what is wrong with a text that names nothing', async () => {
    expect(await scan('hello')).toMatchObject({ kind: 'unknown', message: expect.stringContaining('SW1:') });
    expect(await scan(makeLabel('C', '0000-0000'))).toMatchObject({
      kind: 'unknown',
      message: expect.stringContaining('Nothing here carries'),
    });
    expect(await scan(makeLabel('T', '0000-0000'))).toMatchObject({ message: expect.stringContaining('station') });
    expect(await scan('(01)09521234543214')).toMatchObject({
      kind: 'unknown',
      message: expect.stringContaining('check digit'),
    });
    expect((await manager.post('/api/scan', { text: '' })).status).toBe(422);
  });

  it('answers lots by reagent, newest first, in parts', async () => {
    for (const number of ['1', '2', '3']) await receive({ reagent: 'saline', number });
    const part = async (query: string) => (await manager.get<LotListDto>(`/api/lots?reagent=saline${query}`)).body;
    const first = await part('&take=2');
    expect(first.items.map(({ number }) => number)).toEqual(['3', '2']);
    const rest = await part(`&take=2&after=${first.next}`);
    expect([rest.items.map(({ number }) => number), rest.next]).toEqual([['1'], null]);
    expect((await manager.get('/api/lots?take=many')).status).toBe(422);
    const [{ label, id } = { label: '', id: '' }] = first.items[0]?.containers ?? [];
    expect((await manager.get<ContainerDto>(`/api/containers?label=${label}`)).body.id).toBe(id);
    expect((await manager.get(`/api/containers/nowhere`)).status).toBe(404);
  });

  it('lets technicians open and scan, managers decide, reviewers only read', async () => {
    const lot = await receive();
    const technician = await test.as('technician');
    const reviewer = await test.as('reviewer');
    const path = `/api/lots/${lot.id}/decisions`;
    expect((await technician.post(path, { standing: 'accepted', reason: 'ok' })).status).toBe(403);
    expect((await technician.post(`/api/containers/${lot.containers[0]?.id}/state`, { state: 'opened' })).status).toBe(
      201,
    );
    expect((await reviewer.get(`/api/lots/${lot.id}`)).status).toBe(200);
    expect((await reviewer.post('/api/lots', dye())).status).toBe(403);
    expect((await test.nobody.post('/api/scan', { text: 'x' })).status).toBe(401);
  });

  it('has one effect for repeats of one request', async () => {
    const headers = { 'idempotency-key': `lot-${tests}` };
    const ids = await Promise.all(
      [1, 2, 3].map(async () => (await manager.post<LotDto>('/api/lots', dye(), { headers })).body.id),
    );
    expect(new Set(ids).size).toBe(1);
    expect(await received()).toBe(1);
  });
});

// Each moves the clock, and so has a program of its own.
describeOnEachDatabase('Stock as time passes', (fresh) => {
  beforeEach(async () => {
    await begin(fresh);
    await anew();
  });
  afterEach(end);

  it('refuses an opening in the future, before receipt or at no instant', async () => {
    const lot = await receive();
    test.clock.forward(3_600_000);
    const open = async (at: string) => (await state(lot, { state: 'opened', at })).body;
    expect(await open('2026-11-25T10:00:00.001Z')).toMatchObject({ code: 'future', problems: [{ at: 'at' }] });
    expect(await open('2026-11-25T08:59:59.999Z')).toMatchObject({ code: 'before-receipt' });
    expect(await open('yesterday at noon')).toMatchObject({ code: 'invalid-input' });
    expect(await open('2026-11-25T10:00:00')).toMatchObject({
      code: expect.stringMatching(/bad-instant|invalid-input/),
    });
    expect(await open('2026-11-25T10:30:00+01:00')).toMatchObject({
      states: [{ at: '2026-11-25T09:30:00.000Z', state: 'opened' }],
    });
    expect((await state(lot, { state: 'emptied', at: '2026-11-25T09:10:00.000Z' })).body.code).toBe(
      'before-last-change',
    );
  });

  it('tells of a scanned container every reason why it may not be used now', async () => {
    const lot = await receive();
    const [{ label } = { label: '' }] = lot.containers;
    const codes = async () => (await scan(label)).reasons?.map(({ code }) => code);
    expect(await codes()).toEqual(['lot-quarantined', 'not-opened']);
    await decide(lot, 'accepted');
    await state(lot, { state: 'opened' });
    const clear = await scan(`]C0${label.toLowerCase()}\r\n`);
    expect(clear).toMatchObject({ kind: 'container', usable: true, reasons: [], lot: { number: NUMBER } });
    expect(clear.reagent?.code).toBe('acridine-orange-working');
    expect(clear.message).toContain('may be used now');
    test.clock.set('2026-12-26T00:59:59.999Z');
    manager = await test.as('manager');
    expect(await codes()).toEqual([]);
    test.clock.set('2026-12-26T01:00:00.000Z');
    expect(await codes()).toEqual(['past-opened-life']);
    await decide(lot, 'recalled');
    test.clock.set('2027-02-01T01:00:00.000Z');
    manager = await test.as('manager');
    expect(await codes()).toEqual(['lot-recalled', 'past-expiry', 'past-opened-life']);
    expect((await scan(label)).message).toContain('may not be used');
  });
});
