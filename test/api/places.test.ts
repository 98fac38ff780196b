import { beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { ReagentDto, ReagentRevisionDto } from '../../src/contract/catalogue.dto.js';
import type { FileDto } from '../../src/contract/files.dto.js';
import type {
  HoldDto,
  LeavingListDto,
  PlaceDetailDto,
  PlaceDto,
  PlacesDto,
  RecordedTemperaturesDto,
  TemperatureImportDto,
} from '../../src/contract/places.dto.js';
import type { ContainerDto, LotDto } from '../../src/contract/stock.dto.js';
import { type Client } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase, freshSqlite } from '../support/databases.js';
import { furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}

let manager: Client;
let technician: Client;

/** The program, for each test or for all of a suite, with a manager and a technician. */
function onStock(fresh: () => Promise<FreshDatabase>, each: boolean): void {
  onProgram(fresh, { each });
  (each ? beforeEach : beforeAll)(async () => {
    manager = await test.as('manager');
    technician = await test.as('technician');
  });
}

const DYE = 'acridine-orange-working';
/** The catalogue keeps the dye between 2 and 8 Cel in the dark. */
const FRIDGE = { code: 'FRIDGE-1', name: 'Fridge beside the scanner', min: 2, max: 8, dark: true };
const SHELF = { code: 'SHELF-1', name: 'Solvent shelf', min: 15, max: 25, dark: false };
const APART = { code: 'APART', name: 'Set apart, locked', dark: true, apart: true };

async function place(body: object): Promise<PlaceDto> {
  const { status, body: made } = await manager.post<PlaceDto>('/api/places', body);
  if (status !== 201) throw new Error(JSON.stringify(made));
  return made;
}

async function receive(changes: object = {}): Promise<LotDto> {
  const { status, body } = await manager.post<LotDto>('/api/lots', {
    ...{
      reagent: DYE,
      number: 'QUILL-7',
      source: 'Quill Dyeworks (invented)',
      expiry: '2027-01-31',
    },
    containers: [{ size: '100 mL' }],
    ...changes,
  });
  if (status !== 201) throw new Error(JSON.stringify(body));
  return body;
}

const bottle = (lot: LotDto, n = 0): string => lot.containers[n]?.id ?? '';
const move = (id: string, code: string, client = technician) =>
  client.post<PlaceDto & Refused>(`/api/containers/${id}/place`, { place: code });
const container = async (id: string) => (await manager.get<ContainerDto>(`/api/containers/${id}`)).body;
const codesOf = async (id: string) => (await container(id)).reasons.map(({ code }) => code);
const read = (code: string, value: number, extra: object = {}) =>
  technician.post<RecordedTemperaturesDto & Refused>(`/api/places/${code}/temperatures`, {
    value,
    unit: 'Cel',
    ...extra,
  });
const decide = (lot: LotDto, standing: string, extra: object = {}) =>
  manager.post<LotDto & Refused>(`/api/lots/${lot.id}/decisions`, { standing, reason: 'Compared.', ...extra });
const state = (id: string, body: object) => manager.post<ContainerDto & Refused>(`/api/containers/${id}/state`, body);
const places = async () => (await manager.get<PlacesDto>('/api/places')).body;
const csv = (code: string, text: string | Buffer, query = '') =>
  fetch(`${test.url}/api/places/${code}/temperatures/import${query}`, {
    method: 'POST',
    headers: { ...technician.headers, 'content-type': 'text/csv' },
    body: typeof text === 'string' ? text : new Uint8Array(text),
  }).then(async (answer) => ({ status: answer.status, body: (await answer.json()) as TemperatureImportDto & Refused }));

describeOnEachDatabase('Storage places', (fresh) => {
  onStock(fresh, true);

  // 42 CFR 493.1252(b), ISO 15189:2022 6.6.2: stored as the maker says, and monitored.
  it('put everything that lay there during an excursion on hold until a person decides', async () => {
    await place(FRIDGE);
    const lot = await receive({ place: 'FRIDGE-1', containers: [{ size: '100 mL' }, { size: '100 mL' }] });
    await decide(lot, 'accepted');
    await state(bottle(lot), { state: 'opened' });
    expect(await codesOf(bottle(lot))).toEqual([]);
    expect((await read('FRIDGE-1', 5)).body).toEqual({ taken: 1, excursions: [], held: 0 });

    test.clock.forward(3_600_000);
    expect((await read('FRIDGE-1', 8.5)).body).toMatchObject({ taken: 1, held: 2 });
    expect(await codesOf(bottle(lot))).toEqual(['on-hold']);
    // What is put there meanwhile is held as well.
    const late = await receive({ number: 'QUILL-8', place: 'FRIDGE-1' });
    expect((await container(bottle(late))).holds).toMatchObject([{ kind: 'storage excursion', usable: null }]);

    const { holds, excursions, places: known } = await places();
    expect(holds).toHaveLength(3);
    expect(excursions).toMatchObject([
      { place: 'FRIDGE-1', until: null, min: 2, max: 8, worst: { celsius: 8.5 }, undecided: 3 },
    ]);
    expect(known).toMatchObject([{ code: 'FRIDGE-1', outside: true, latest: { celsius: 8.5 }, containers: 3 }]);
    const ids = holds.map(({ id }) => id);
    const answer = (body: object) => manager.post<HoldDto[] & Refused>('/api/holds/decisions', body);
    const fit = { holds: ids, usable: true, reason: 'Half a degree for less than an hour.' };
    const still = await answer(fit);
    expect([still.status, still.body.code]).toEqual([409, 'still-outside']);

    test.clock.forward(600_000);
    await read('FRIDGE-1', 7.9);
    expect((await technician.post('/api/holds/decisions', fit)).status).toBe(403);
    const [first, ...others] = ids;
    expect((await answer({ ...fit, holds: [first] })).body).toHaveLength(2);
    expect(await codesOf(bottle(lot))).toEqual([]);
    expect((await answer({ holds: others, usable: false, reason: 'Too warm.' })).body).toEqual([]);
    expect(await codesOf(bottle(lot, 1))).toEqual(
      ['on-hold', 'not-opened'].sort((a, b) => (a === 'not-opened' ? -1 : b === 'not-opened' ? 1 : 0)),
    );
    expect((await answer(fit)).body.code).toBe('no-such-hold');
    const { leaving } = (await manager.get<LeavingListDto>('/api/stock/leaving')).body;
    expect(leaving.map(({ id }) => id).sort()).toEqual([bottle(lot, 1), bottle(late)].sort());
    const detail = (await manager.get<PlaceDetailDto>('/api/places/FRIDGE-1')).body;
    expect(detail.readings.map(({ celsius }) => celsius)).toEqual([5, 8.5, 7.9]);
    expect(detail.lying).toHaveLength(3);
  });

  it('take a logger’s file whole or not at all, and find the excursion in it', async () => {
    await place(FRIDGE);
    const lot = await receive({ place: 'FRIDGE-1' });
    test.clock.forward(3 * 3_600_000);
    [manager, technician] = [await test.as('manager'), await test.as('technician')];
    const rows = ['time,temperature', '2026-11-25T09:30:00Z,5', '2026-11-25T10:00:00Z,9', '2026-11-25T10:30:00Z,4'];
    const bad = await csv('FRIDGE-1', [...rows, '2026-11-25T11:00:00Z,warm', '2026-11-26T11:00:00Z,4'].join('\n'));
    expect(bad.status).toBe(422);
    expect(bad.body.problems.map(({ at }) => at)).toEqual(['row 5, temperature', 'row 6, time']);
    expect((await places()).places[0]?.latest).toBeNull();

    const dry = await csv('FRIDGE-1', rows.join('\r\n'), '?dryRun=true');
    expect(dry.body).toMatchObject({
      dryRun: true,
      taken: 0,
      outside: 1,
      problems: [],
      from: '2026-11-25T09:30:00.000Z',
    });
    expect((await places()).places[0]?.latest).toBeNull();
    const taken = await csv('FRIDGE-1', rows.join('\n').replaceAll(',', ';'));
    expect([taken.status, taken.body]).toMatchObject([200, { taken: 3, outside: 1, held: 1, repeated: 0 }]);
    expect((await places()).excursions).toMatchObject([
      { from: '2026-11-25T10:00:00.000Z', until: '2026-11-25T10:30:00.000Z', undecided: 1 },
    ]);
    expect((await container(bottle(lot))).holds).toMatchObject([{ at: '2026-11-25T10:00:00.000Z' }]);
    expect((await csv('FRIDGE-1', rows.join('\n'))).body.code).toBe('nothing-new');

    const latin = Buffer.from('time,temperature\n2026-11-25T11:00:00Z,4 \u00b0C', 'latin1');
    expect((await csv('FRIDGE-1', latin)).body).toMatchObject({
      code: 'not-utf-8',
      detail: expect.stringContaining('UTF-8'),
    });
    expect((await csv('NOWHERE', rows.join('\n'))).status).toBe(404);
  });

  it('list what must leave the shelf, which is then set apart or discarded with its remainder booked', async () => {
    await place(SHELF);
    await place(APART);
    const saline = { reagent: 'saline', source: 'Tidewater Reagents (invented)', expiry: '2026-11-26' };
    const lot = await receive({
      ...saline,
      number: 'S-1',
      place: 'SHELF-1',
      containers: [{ size: '500 mL' }, { size: '500 mL' }],
    });
    const fine = await receive({ ...saline, number: 'S-2', expiry: '2027-11-26', place: 'SHELF-1' });
    const leaving = async () => (await manager.get<LeavingListDto>('/api/stock/leaving')).body.leaving;
    expect(await leaving()).toEqual([]);
    test.clock.set('2026-11-27T01:00:00.000Z');
    [manager, technician] = [await test.as('manager'), await test.as('technician')];
    expect((await leaving()).map(({ id, reasons }) => [id, reasons.map(({ code }) => code)])).toEqual([
      [bottle(lot), ['past-expiry']],
      [bottle(lot, 1), ['past-expiry']],
    ]);
    expect((await leaving()).map(({ place: where }) => where)).toEqual(['SHELF-1', 'SHELF-1']);
    const apart = await technician.post<LeavingListDto>('/api/stock/leaving', {
      containers: [bottle(lot)],
      reason: 'Expired.',
    });
    expect(apart.body.leaving.map(({ id }) => id)).toEqual([bottle(lot, 1)]);
    expect((await move(bottle(lot), 'SHELF-1')).body).toMatchObject({ code: 'must-leave' });
    const thrown = { state: 'discarded' };
    expect((await state(bottle(lot, 1), thrown)).body).toMatchObject({
      code: 'no-reason',
      problems: [{ at: 'reason' }],
    });
    const gone = await state(bottle(lot, 1), { ...thrown, reason: 'Expired.' });
    expect(gone.body).toMatchObject({ state: 'discarded', onHand: { value: 0, unit: 'mL' } });
    expect(await leaving()).toEqual([]);
    await state(bottle(fine), { state: 'opened' });
    expect((await state(bottle(fine), { state: 'emptied' })).body.onHand).toEqual({ value: 0, unit: 'mL' });
    expect((await move(bottle(lot, 1), 'APART')).body.code).toBe('container-discarded');
  });
});

describe('Putting away', () => {
  onStock(freshSqlite, true);

  const stocked = (reagent: string, changes: object = {}) =>
    receive({ reagent, number: `L-${reagent}`, source: 'Tidewater Reagents (invented)', ...changes });

  it('refuses what must not lie together, a place too warm or too light, and one that is not there', async () => {
    await place(SHELF);
    await place(FRIDGE);
    await place({ ...SHELF, code: 'SHELF-2', name: 'Oxidiser shelf', classes: ['oxidiser', 'acid'] });
    await stocked('ethanol-100', { place: 'SHELF-1' });
    const oxidiser = bottle(await stocked('periodic-acid'));
    const refused = await move(oxidiser, 'SHELF-1');
    expect([refused.status, refused.body.code]).toEqual([409, 'stored-together']);
    expect(refused.body.problems).toEqual([
      { at: 'place', message: expect.stringContaining('put it into Oxidiser shelf') },
    ]);
    expect((await move(oxidiser, 'SHELF-2')).body.containers).toBe(1);
    expect((await move(oxidiser, 'SHELF-2')).body.code).toBe('unchanged');
    const dye = bottle(await receive());
    expect((await move(dye, 'SHELF-1')).body).toMatchObject({
      code: 'conditions-not-kept',
      problems: [
        { message: expect.stringContaining('between 2 and 8 °C') },
        { message: expect.stringContaining('dark') },
      ],
    });
    expect((await move(dye, 'FRIDGE-9')).body).toMatchObject({ code: 'unknown-place', problems: [{ at: 'place' }] });
    expect((await move(dye, 'FRIDGE-1')).status).toBe(201);
    expect((await container(dye)).place).toBe('FRIDGE-1');
    const lots = (await manager.get<{ items: LotDto[] }>('/api/lots')).body.items.length;
    const body = { reagent: 'periodic-acid', number: 'L-2', source: 'x', expiry: '2027-01' };
    expect((await manager.post('/api/lots', { ...body, place: 'SHELF-1', containers: [{}] })).status).toBe(409);
    expect((await manager.get<{ items: LotDto[] }>('/api/lots')).body.items).toHaveLength(lots);
  });

  // Common practice, no source: dry picric acid and aged ammoniacal silver explode.
  it('stops picric acid past its water check and ammoniacal silver at all', async () => {
    await place({ code: 'PICRIC', name: 'Picric acid cupboard', dark: false });
    await place(APART);
    const lot = await stocked('picric-acid', { expiry: '2028-01', containers: [{ size: '100 g' }, { size: '100 g' }] });
    expect((await move(bottle(lot), 'PICRIC')).status).toBe(201);
    expect(lot.containers[0]).toMatchObject({
      onHand: { value: 100, unit: 'g' },
      waterCheckDue: '2027-05-26T00:00:00.000Z',
    });
    test.clock.set('2027-05-26T00:00:00.000Z');
    [manager, technician] = [await test.as('manager'), await test.as('technician')];
    expect((await move(bottle(lot, 1), 'PICRIC')).body).toMatchObject({
      code: 'picric-unchecked',
      detail: expect.stringContaining('record the check'),
    });
    const look = (n: number, wet: boolean) =>
      technician.post<{ due: string }>(`/api/containers/${bottle(lot, n)}/water-checks`, { wet });
    expect((await look(1, true)).body.due).toBe('2027-11-27T01:00:00.000Z');
    expect((await move(bottle(lot, 1), 'PICRIC')).status).toBe(201);
    await look(0, false);
    expect((await move(bottle(lot), 'APART')).body).toMatchObject({
      code: 'picric-dry',
      detail: expect.stringContaining('do not open or move'),
    });
    expect(await codesOf(bottle(lot))).toContain('on-hold');
    const silver = await stocked('ammoniacal-silver', { expiry: '2028-01' });
    expect((await move(bottle(silver), 'APART')).body).toMatchObject({
      code: 'silver-stored',
      detail: expect.stringContaining('discard'),
    });
    const { leaving } = (await manager.get<LeavingListDto>('/api/stock/leaving')).body;
    expect(leaving).toMatchObject([{ id: bottle(silver), reasons: [{ code: 'silver-stored' }] }]);
    expect((await technician.post(`/api/containers/${bottle(silver)}/water-checks`, { wet: true })).status).toBe(409);
  });

  it('refuses bad temperatures and places, saying what would be right', async () => {
    await place(FRIDGE);
    expect((await read('FRIDGE-1', 450)).body).toMatchObject({ code: 'bad-temperature', problems: [{ at: 'value' }] });
    expect((await read('FRIDGE-1', 4, { unit: 'mL' })).status).toBe(422);
    expect((await read('FRIDGE-1', 4, { at: '2026-11-25T09:00:00.001Z' })).body.code).toBe('future');
    expect((await read('FRIDGE-1', 39.2, { unit: '[degF]' })).status).toBe(201);
    expect((await places()).places[0]?.latest?.celsius).toBe(4);
    expect((await read('FRIDGE-1', 5)).body.code).toBe('read-already');
    expect((await manager.post('/api/places', { ...FRIDGE, min: 9 })).status).toBe(422);
    expect((await manager.post('/api/places', { ...FRIDGE, code: 'fridge 1' })).status).toBe(422);
    expect((await technician.post('/api/places', FRIDGE)).status).toBe(403);
    expect((await place({ ...FRIDGE, max: 9 })).max).toBe(9);
    expect((await places()).places).toHaveLength(1);
  });
});

describe('The life of a lot', () => {
  onStock(freshSqlite, false);

  it('books what each container holds, by its amount or its size, and refuses what cannot be', async () => {
    const lot = await receive({
      containers: [{ size: '0.5 L' }, { size: '1 kit' }, { amount: { value: 25, unit: 'mL' } }, {}],
    });
    expect(lot.containers.map(({ onHand }) => onHand?.value ?? null)).toEqual([500, null, 25, null]);
    const refuse = async (amount: object) => {
      const body = {
        reagent: DYE,
        number: 'Q',
        source: 'x',
        expiry: '2027-01',
        containers: [{ amount }],
      };
      const { status, body: problem } = await manager.post<Refused>('/api/lots', body);
      return [status, problem.problems[0]?.at];
    };
    expect(await refuse({ value: 5, unit: 'g' })).toEqual([422, 'containers.0.amount']);
    expect(await refuse({ value: -5, unit: 'mL' })).toEqual([422, 'containers.0.amount']);
  });

  it('keeps intended use, kit, price and an expiry set here, and shows the other shipments', async () => {
    const details = {
      number: 'QUILL-KIT',
      intendedUse: 'analyte specific',
      kit: 'Quill kit',
      kitLot: 'K-1',
      priceCents: 1250,
      expirySetHere: true,
    };
    const first = await receive(details);
    expect(first).toMatchObject({ ...details, shipments: [] });
    await decide(first, 'accepted');
    const second = await receive(details);
    expect(second).toMatchObject({ standing: 'quarantined', shipments: [{ id: first.id, standing: 'accepted' }] });
    const half = {
      reagent: DYE,
      number: 'Q',
      source: 'x',
      expiry: '2027-01',
      containers: [{}],
      kit: 'Quill kit',
    };
    expect((await manager.post<Refused>('/api/lots', half)).body).toMatchObject({
      code: 'half-kit',
      problems: [{ at: 'kitLot' }],
    });
  });

  // 21 CFR 809.10(c)(2)(i) and 42 CFR 493.1253(b)(2): a research product needs the laboratory's own verification.
  it('accepts with evidence that is really there; a research product only with a verification', async () => {
    const lot = await receive({ intendedUse: 'research only' });
    await state(bottle(lot), { state: 'opened' });
    await decide(lot, 'accepted', { evidence: { kind: 'inspection' } });
    expect(await codesOf(bottle(lot))).toEqual(['research-only']);
    await decide(lot, 'quarantined');
    const refused = async (evidence: object) => {
      const { status, body } = await decide(lot, 'accepted', { evidence });
      return [status, body.code, body.problems[0]?.at];
    };
    expect(await refused({ kind: 'verification' })).toEqual([422, 'evidence-missing', 'evidence.fileId']);
    expect(await refused({ kind: 'verification', fileId: 'none' })).toEqual([422, 'unknown-file', 'evidence.fileId']);
    expect(await refused({ kind: 'acceptance control', runId: 'none' })).toEqual([
      422,
      'unknown-run',
      'evidence.runId',
    ]);
    const pdf = '%PDF-1.4\n% invented\n%%EOF\n';
    const kept = await manager.post<FileDto>('/api/files?name=VER-OQ-009.pdf', pdf, {
      headers: { 'content-type': 'application/pdf' },
    });
    const evidence = { kind: 'verification', fileId: kept.body.id };
    expect((await decide(lot, 'accepted', { evidence })).body.decisions.at(-1)).toMatchObject({
      standing: 'accepted',
      evidence,
    });
    expect(await codesOf(bottle(lot))).toEqual([]);
  });

  it('lists a bottle that a run used and nobody recorded as opened', async () => {
    const furnished = await furnish(test);
    const lot = await receive();
    await technician.post('/api/runs', {
      ...{ revisionId: furnished.revisionId, station: 'Ultrasound 1', purpose: 'patients' },
      subjects: [{ subjectId: furnished.core, role: 'patient' }],
    });
    const { items } = (await technician.get<{ items: { id: string }[] }>('/api/runs')).body;
    const at = test.clock.now();
    const scanned = await technician.post(
      `/api/runs/${items[0]?.id}/events`,
      {
        kind: 'tray-scanned',
        data: { reagent: DYE, container: bottle(lot) },
        stamp: {
          ...{ device: 'station-1', clockSession: 'morning', monotonicMs: 1, at, uncertaintyMs: 20 },
          ...{ offsetMs: 0, roundTripMs: 40, late: false },
        },
      },
      { headers: { 'idempotency-key': 'scan-1' } },
    );
    expect(scanned.status).toBe(201);
    const list = async () => (await manager.get<LeavingListDto>('/api/stock/leaving')).body.undated;
    expect(await list()).toMatchObject([{ id: bottle(lot), usedAt: at }]);
    await state(bottle(lot), { state: 'opened', at });
    expect(await list()).toEqual([]);
  });

  it('lets a manager add and revise an entry of the catalogue, whose unit stays once something was counted', async () => {
    const entry = { code: 'quill-blue', name: 'Quill blue', kind: 'dye', unit: 'g', storageClasses: ['acid'] };
    const set = (body: object, client = manager) => client.post<ReagentDto & Refused>('/api/reagents', body);
    expect((await set(entry)).body).toMatchObject(entry);
    expect((await set(entry)).body.code).toBe('unchanged');
    expect((await set(entry, technician)).status).toBe(403);
    expect((await set({ ...entry, storage: { min: 8, max: 2, status: 'proposal' } })).body).toMatchObject({
      code: 'faulty-reagent',
      problems: [{ at: 'storage.min' }],
    });
    expect((await set({ ...entry, unit: 'gram' })).body.problems).toMatchObject([{ at: 'unit' }]);
    await receive({ reagent: 'quill-blue', number: 'QB', containers: [{ size: '5 g' }] });
    expect((await set({ ...entry, unit: 'mL' })).body).toMatchObject({
      code: 'unit-in-use',
      problems: [{ at: 'unit' }],
    });
    expect((await set({ ...entry, openedLife: 'P30D' })).status).toBe(201);
    const known = (await manager.get<ReagentDto[]>('/api/reagents')).body.find(({ code }) => code === 'quill-blue');
    expect(known?.openedLife).toBe('P30D');
    const revisions = (await technician.get<ReagentRevisionDto[]>('/api/reagents/revisions')).body;
    const revised = { reagent: 'quill-blue', at: test.clock.now(), name: expect.stringMatching(/^Invented manager/) };
    expect(revisions).toMatchObject([revised, revised]);
  });
});
