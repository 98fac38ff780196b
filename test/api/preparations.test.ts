import { beforeAll, expect, it } from '@jest/globals';
import type { KnownRecipeDto, SerialDilutionDto, WorksheetDto } from '../../src/contract/recipes.dto.js';
import type { PreparationDto, PreparationListDto } from '../../src/contract/preparations.dto.js';
import type { ContainerDto, LotDto } from '../../src/contract/stock.dto.js';
import { originsOf, tracedLots } from '../../src/store/questions/trace/lots.js';
import { reachOf } from '../../src/store/questions/trace/reach.js';
import { onHandOf } from '../../src/store/questions/ledger.js';
import { MovementRow } from '../../src/store/rows/ledger.entity.js';
import { ComponentRow, ContainerRow, LotRow } from '../../src/store/rows/stock.entity.js';
import { PreparationRow } from '../../src/store/rows/preparations.entity.js';
import { type Client, LABORATORY } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}
const g = (value: number) => ({ value, unit: 'g' });
const mL = (value: number) => ({ value, unit: 'mL' });

// The test laboratory lies in the Azores, which keep UTC-1 in winter.
describeOnEachDatabase('Preparations', (fresh) => {
  onProgram(fresh);

  let manager: Client;

  beforeAll(async () => {
    manager = await test.as('manager', 'technician');
  });

  /** An open container of an accepted lot. */
  const bottle = async (reagent: string, size: string, expiry = '2027-12-31'): Promise<string> => {
    const number = `${reagent.slice(0, 20)}-${size.replaceAll(' ', '')}-${expiry}`;
    const { status, body } = await manager.post<LotDto>('/api/lots', {
      reagent,
      number,
      source: 'Tidewater Reagents (invented)',
      expiry,
      containers: [{ size }],
    });
    if (status !== 201) throw new Error(JSON.stringify(body));
    await accept(body.id);
    const id = body.containers[0]!.id;
    await manager.post(`/api/containers/${id}/state`, { state: 'opened' });
    return id;
  };
  const accept = (lotId: string) =>
    manager.post<LotDto & Refused>(`/api/lots/${lotId}/decisions`, { standing: 'accepted', reason: 'Checked.' });
  const onHand = async (id: string): Promise<number> =>
    (await test.store.read(LABORATORY, (view) => onHandOf(view, id))) / 1_000_000;
  const make = (body: object) => manager.post<PreparationDto & Refused>('/api/preparations', body);
  const made = async (body: object): Promise<PreparationDto> => {
    const { status, body: answer } = await make(body);
    if (status !== 201) throw new Error(JSON.stringify(answer));
    return answer;
  };
  const fact = (
    row: typeof LotRow | typeof ComponentRow | typeof MovementRow | typeof PreparationRow | typeof ContainerRow,
  ) => test.store.read(LABORATORY, (view) => view.count(row as typeof LotRow));

  /** Saline of salt, with the salt's container. */
  const saline = async (salt: string, grams: number, changes: object = {}): Promise<object> => ({
    recipe: 'saline',
    volume: mL(500),
    lines: [{ line: 1, taken: [{ container: salt, quantity: g(grams) }] }],
    containers: [{}],
    ...changes,
  });

  it('tells what to weigh, in order, and from which bottle first', async () => {
    const late = await bottle('sodium-chloride', '500 g', '2028-01-31');
    const early = await bottle('sodium-chloride', '2 g', '2027-01-31');
    const { body } = await manager.post<WorksheetDto>('/api/recipes/saline/worksheet', { volume: mL(500) });
    expect(body.lines).toMatchObject([
      { line: 1, takes: 'sodium-chloride', amount: g(4.5), within: { least: 4.41, most: 4.59 }, short: null },
      { line: 2, takes: 'distilled-water', water: true, makeUpTo: true, amount: mL(500), containers: [] },
    ]);
    expect(body.lines[0]!.mmolPerL).toBeCloseTo(154, 0);
    expect(body.lines[0]!.containers.map(({ id, onHand: held, take }) => [id, held, take])).toEqual([
      [early, g(2), g(2)],
      [late, g(500), g(2.5)],
    ]);
    const formalin = await manager.post<WorksheetDto>('/api/recipes/nbf-10/worksheet', { volume: mL(250) });
    expect(formalin.body.hazards.flatMap(({ codes }) => codes)).toContain('H350');
    expect(formalin.body.lines[0]).toMatchObject({ short: g(1), containers: [] });
    expect((await manager.post<Refused>('/api/recipes/saline/worksheet', { volume: g(1) })).body.code).toBe(
      'wrong-unit',
    );
    expect((await manager.post<Refused>('/api/recipes/salin/worksheet', { volume: mL(1) })).body).toMatchObject({
      code: 'not-found',
      detail: expect.stringContaining('did you mean saline'),
    });
  });

  // 42 CFR 493.1252(d): a preparation never outlives its shortest-lived component, at any depth.
  it('makes a preparation of a preparation: limits, ledger and trace', async () => {
    const powder = await bottle('acridine-orange-hydrochloride', '1 g', '2026-12-02');
    const salt = await bottle('sodium-chloride', '500 g');
    const stock = await made({
      recipe: 'acridine-orange-stock',
      volume: mL(10),
      lines: [{ line: 1, taken: [{ container: powder, quantity: { value: 100, unit: 'mg' } }] }],
      containers: [{ amount: mL(9) }],
    });
    expect(stock).toMatchObject({ number: '2026-11-25-1', standing: 'quarantined', recipe: 'acridine-orange-stock' });
    expect(await onHand(powder)).toBeCloseTo(0.9, 9);
    const salted = await made(await saline(salt, 4.5));
    const [stockBottle, salineBottle] = [stock.containers[0]!.id, salted.containers[0]!.id];
    expect([await onHand(stockBottle), await onHand(salineBottle)]).toEqual([9, 500]);

    const dye = await made({
      recipe: 'acridine-orange-of-stock',
      volume: mL(50),
      lines: [
        { line: 1, taken: [{ container: stockBottle, quantity: mL(0.905) }] },
        { line: 2, taken: [{ container: salineBottle, quantity: mL(49) }] },
      ],
      readings: [{ id: 'clear', passed: true }],
      containers: [{ amount: mL(25) }, { amount: mL(25) }],
    });
    expect([await onHand(stockBottle), await onHand(salineBottle)]).toEqual([8.095, 451]);
    expect(await onHand(dye.containers[1]!.id)).toBe(25);
    // The saline was made for a day, the powder ends with 2 December, the dye keeps 7 days.
    expect(dye.limits.map(({ by, until }) => [by, until])).toEqual([
      ['component 2: prepared', '2026-11-27T01:00:00.000Z'],
      ['prepared', '2026-12-03T01:00:00.000Z'],
      ['component 1: component 1: expiry', '2026-12-03T01:00:00.000Z'],
      ['component 1: prepared', '2027-02-26T01:00:00.000Z'],
      ['component 2: component 1: expiry', '2028-01-01T01:00:00.000Z'],
    ]);
    expect(dye.components.map(({ label, quantity }) => [label, quantity])).toEqual([
      [stock.containers[0]!.label, mL(0.905)],
      [salted.containers[0]!.label, mL(49)],
    ]);
    const powderLot = (await manager.get<ContainerDto>(`/api/containers/${powder}`)).body.lotId;
    await test.store.read(LABORATORY, async (view) => {
      const reached = (await tracedLots(view, await reachOf(view, [powderLot]))).map(({ id }) => id);
      expect(reached.sort()).toEqual([powderLot, stock.lotId, dye.lotId].sort());
      const run = { containerIds: [dye.containers[0]!.id] } as Parameters<typeof originsOf>[1][0];
      expect((await originsOf(view, [run])).map(({ id }) => id)).toContain(powderLot);
    });
    // Nothing is accepted before what it is made of.
    expect((await accept(dye.lotId)).body.code).toBe('component-not-accepted');
    await accept(stock.lotId);
    await accept(salted.lotId);
    expect((await accept(dye.lotId)).body.standing).toBe('accepted');
    const list = (await manager.get<PreparationListDto>('/api/preparations?take=2')).body;
    expect(list.items.map(({ lotId }) => lotId)).toEqual([dye.lotId, salted.lotId]);
    const ofSaline = await manager.get<PreparationListDto>('/api/preparations?recipe=saline');
    expect(ofSaline.body.items.map(({ lotId }) => lotId)).toEqual([salted.lotId]);
  });

  it('refuses a shortage, another unit, another substance and an amount that is off, and books nothing', async () => {
    const salt = await bottle('sodium-chloride', '5 g');
    const sugar = await bottle('citric-acid-monohydrate', '100 g');
    const spent = await bottle('sodium-chloride', '50 g', '2026-11-25T08:30');
    const before = await Promise.all([LotRow, ContainerRow, ComponentRow, MovementRow, PreparationRow].map(fact));
    const refusal = async (body: object): Promise<[number, string, string | undefined]> => {
      const { status, body: answer } = await make(body);
      return [status, answer.code, answer.problems?.[0]?.at];
    };
    const taken = (container: string, quantity: object) => ({ line: 1, taken: [{ container, quantity }] });
    const at = 'lines.0.taken.0';
    const off = await make(await saline(salt, 4.8));
    expect([off.status, off.body.code, off.body.problems[0]!.at]).toEqual([422, 'outside-tolerance', 'lines.0.reason']);
    expect(off.body.detail).toContain('4.41 to 4.59');
    expect(await refusal(await saline(salt, 9, { volume: mL(1000) }))).toEqual([409, 'not-enough', at]);
    expect(await refusal(await saline(salt, 4.5, { lines: [taken(salt, mL(4.5))] }))).toEqual([
      422,
      'unit-mismatch',
      undefined,
    ]);
    expect(await refusal(await saline(salt, 4.5, { lines: [taken(sugar, g(4.5))] }))).toEqual([
      409,
      'unusable-component',
      at,
    ]);
    // 42 CFR 493.1252(d): nothing past its expiry, which was 08:30 by the wall clock, 09:30 UTC.
    test.clock.set('2026-11-25T09:30:00.000Z');
    const late = await make(await saline(spent, 4.5));
    expect([late.status, late.body.problems[0]]).toEqual([
      409,
      { at, message: expect.stringContaining('past its expiry') },
    ]);
    expect(await refusal(await saline(salt, 4.5, { lines: [taken('nowhere', g(4.5))] }))).toEqual([
      409,
      'unusable-component',
      at,
    ]);
    expect(await refusal(await saline(salt, 4.5, { lines: [] }))).toEqual([422, 'line-missing', 'lines']);
    expect(await refusal(await saline(salt, 4.5, { lines: [{ line: 7, taken: [] }] }))).toEqual([
      422,
      'unknown-line',
      'lines.0.line',
    ]);
    expect(await refusal(await saline(salt, -4.5))).toEqual([422, expect.any(String), expect.any(String)]);
    expect(await refusal(await saline(salt, 4.5, { containers: [{ amount: mL(300) }, { amount: mL(300) }] }))).toEqual([
      422,
      'more-than-made',
      'containers',
    ]);
    expect(await refusal(await saline(salt, 4.5, { readings: [{ id: 'ph', value: 7 }] }))).toEqual([
      422,
      'bad-reading',
      'readings.0',
    ]);
    expect(await Promise.all([LotRow, ContainerRow, ComponentRow, MovementRow, PreparationRow].map(fact))).toEqual(
      before,
    );
    // The same amount with a reason is kept with it.
    const kept = await made(
      await saline(salt, 4.8, { lines: [{ ...taken(salt, g(4.8)), reason: 'Balance drifted.' }] }),
    );
    expect(kept.lines[0]).toMatchObject({ planned: g(4.5), taken: [g(4.8)], reason: 'Balance drifted.' });
    expect(await onHand(salt)).toBeCloseTo(0.2, 9);
  });

  it('accepts only what its reading lets pass, the latest reading counting', async () => {
    const salt = await bottle('disodium-hydrogen-phosphate-dihydrate', '100 g');
    const acid = await bottle('potassium-dihydrogen-phosphate', '100 g');
    const lines = [
      { line: 1, taken: [{ container: salt, quantity: g(3.8) }] },
      { line: 2, taken: [{ container: acid, quantity: g(2.1) }] },
    ];
    const body = { recipe: 'buffered-water', volume: { value: 1, unit: 'L' }, lines, containers: [{}] };
    const buffer = await made(body);
    expect(buffer.open).toEqual(['pH was not read']);
    expect((await accept(buffer.lotId)).body).toMatchObject({ code: 'reading-open' });
    const read = async (value: number) =>
      (
        await manager.post<PreparationDto>(`/api/preparations/${buffer.lotId}/readings`, {
          readings: [{ id: 'ph', value }],
        })
      ).body;
    expect((await read(7.3)).open).toEqual(['pH did not pass: 7.3']);
    expect((await accept(buffer.lotId)).body.code).toBe('reading-open');
    // The limits themselves pass.
    expect((await read(7.2)).open).toEqual([]);
    expect((await accept(buffer.lotId)).body.standing).toBe('accepted');
    expect((await manager.get<PreparationDto>(`/api/preparations/${buffer.lotId}`)).body.readings).toHaveLength(2);
  });

  it('weighs another hydrate by its own amount', async () => {
    const anhydrous = await bottle('disodium-hydrogen-phosphate', '100 g');
    const acid = await bottle('potassium-dihydrogen-phosphate', '100 g');
    const body = (amount: number) => ({
      recipe: 'buffered-water',
      volume: { value: 1, unit: 'L' },
      lines: [
        { line: 1, taken: [{ container: anhydrous, quantity: g(amount) }] },
        { line: 2, taken: [{ container: acid, quantity: g(2.1) }] },
      ],
      containers: [{}],
    });
    // 3.8 g of the dihydrate (177.99 g/mol) are 3.03 g without its water (141.96 g/mol).
    expect((await make(body(3.8))).body.code).toBe('outside-tolerance');
    expect((await made(body(3.03))).lines[0]).toMatchObject({ takes: 'disodium-hydrogen-phosphate' });
  });

  it('makes what has no recipe, of containers that are named', async () => {
    const salt = await bottle('sodium-chloride', '500 g');
    const free = { reagent: 'saline', volume: mL(100), life: 'P7D', containers: [{}] };
    const lines = [{ taken: [{ container: salt, quantity: g(1) }] }];
    expect((await make({ ...free, lines, life: undefined })).body.code).toBe('no-life');
    expect((await make({ ...free, lines, reagent: undefined })).body.code).toBe('no-reagent');
    expect((await make({ ...free, lines: [] })).body.code).toBe('no-components');
    expect((await make({ ...free, lines, life: '7 days' })).status).toBe(422);
    const lot = await made({ ...free, lines });
    expect(lot).toMatchObject({ recipe: null, lines: [{ takes: 'sodium-chloride', planned: null }] });
    const second = await made({ ...free, lines });
    const [first, next] = [lot, second].map(({ number }) => Number(number.replace('2026-11-25-', '')));
    expect(next).toBe(first! + 1);
  });

  it('reckons a serial dilution', async () => {
    const asked = { stock: { value: 1, unit: 'mg/mL' }, factor: 2, tubes: 3, volume: mL(1) };
    const { body } = await manager.post<SerialDilutionDto>('/api/worksheets/serial-dilution', asked);
    expect(body.tubes.map(({ concentration, transferMl }) => [concentration.value, transferMl])).toEqual([
      [0.5, 0.5],
      [0.25, 0.5],
      [0.125, 0.5],
    ]);
    expect((await manager.post('/api/worksheets/serial-dilution', { ...asked, factor: 1 })).status).toBe(422);
  });

  it('has one effect for repeats, and of two who take the last grams at once tells one', async () => {
    const salt = await bottle('sodium-chloride', '5 g');
    const body = await saline(salt, 4.5);
    const headers = { 'idempotency-key': 'made-1' };
    const ids = await Promise.all(
      [1, 2].map(() => manager.post<PreparationDto>('/api/preparations', body, { headers })),
    );
    expect(new Set(ids.map((answer) => answer.body.lotId)).size).toBe(1);
    const other = await bottle('sodium-chloride', '6 g');
    const both = await Promise.all([1, 2].map(async () => make(await saline(other, 4.5))));
    expect(both.map(({ status }) => status).sort()).toEqual([201, 409]);
    expect(await onHand(other)).toBe(1.5);
  });

  it('keeps a recipe of the laboratory’s own, and refuses one that makes itself', async () => {
    const { recipe } = (await manager.get<KnownRecipeDto>('/api/recipes/saline')).body;
    const own = { ...recipe, name: 'Saline of Outer Quill', status: 'set by this laboratory', tolerance: 1 };
    const { status, body } = await manager.post<KnownRecipeDto & Refused>('/api/recipes', own);
    expect([status, body.own, body.recipe.tolerance]).toEqual([201, true, 1]);
    expect((await manager.get<KnownRecipeDto>('/api/recipes/saline')).body.recipe.name).toBe('Saline of Outer Quill');
    const circle = await manager.post<Refused>('/api/recipes', {
      ...recipe,
      lines: [{ takes: 'acridine-orange-working', amount: mL(10) }, ...recipe.lines.slice(1)],
    });
    expect(circle.body).toMatchObject({ code: 'circle', problems: [{ at: 'lines' }] });
    expect(circle.body.detail).toContain('saline, of acridine-orange-working, of saline');
    const odd = { ...recipe, lines: [{ takes: 'sodium-chlorid', amount: g(9) }, ...recipe.lines.slice(1)] };
    expect((await manager.post<Refused>('/api/recipes', odd)).body).toMatchObject({
      code: 'unknown-reagent',
      problems: [{ at: 'lines.0.takes', message: expect.stringContaining('sodium-chloride') }],
    });
    const technician = await test.as('technician');
    expect((await technician.post('/api/recipes', own)).status).toBe(403);
  });
});
