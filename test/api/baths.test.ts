import { beforeEach, describe, expect, it } from '@jest/globals';
import type { BathDto, BathRuleDto } from '../../src/contract/preparations.dto.js';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import type { LotDto } from '../../src/contract/stock.dto.js';
import { onHandOf } from '../../src/store/questions/ledger.js';
import { BathUseRow } from '../../src/store/rows/preparations.entity.js';
import { type Client, LABORATORY } from '../support/app.js';
import { describeOnEachDatabase, freshSqlite, type FreshDatabase } from '../support/databases.js';
import { Bench, furnish, type Furnished } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}
const mL = (value: number) => ({ value, unit: 'mL' });
const DYE = 'acridine-orange-working';

let manager: Client;

/** The program for each test, with a manager who works at the bench as well. */
function onStock(fresh: () => Promise<FreshDatabase>): void {
  onProgram(fresh, { each: true });
  beforeEach(async () => {
    manager = await test.as('manager', 'technician');
  });
}

async function bottle(reagent: string, size: string, expiry = '2027-12-31', accepted = true): Promise<string> {
  const { status, body } = await manager.post<LotDto>('/api/lots', {
    reagent,
    number: `${reagent}-${expiry}`.slice(0, 40),
    source: 'Tidewater Reagents (invented)',
    expiry,
    containers: [{ size }],
  });
  if (status !== 201) throw new Error(JSON.stringify(body));
  if (accepted) {
    await manager.post(`/api/lots/${body.id}/decisions`, { standing: 'accepted', reason: 'Checked.' });
  }
  const id = body.containers[0]!.id;
  await manager.post(`/api/containers/${id}/state`, { state: 'opened' });
  return id;
}

const fill = (container: string, value: number) => [{ container, quantity: mL(value) }];
const onHand = async (id: string): Promise<number> =>
  (await test.store.read(LABORATORY, (view) => onHandOf(view, id))) / 1_000_000;
const post = (path: string, body: object) => manager.post<BathDto & Refused>(path, body);
async function done(path: string, body: object): Promise<BathDto> {
  const { status, body: answer } = await post(path, body);
  if (status !== 201) throw new Error(JSON.stringify(answer));
  return answer;
}
const place = { station: 'Line 1', series: 'H&E', position: 1 };

describeOnEachDatabase('The load of a bath', (fresh) => {
  onStock(fresh);

  let furnished: Furnished;
  let bench: Bench;
  beforeEach(async () => {
    furnished = await furnish(test);
    bench = new Bench(test, manager, furnished);
  });

  it('is counted from the runs, and the gate holds what was stained beyond it', async () => {
    const source = await bottle(DYE, '500 mL');
    const controls = Object.keys(furnished.controls).length;
    // A core and its controls go through together, so that two runs are one slide too many.
    const slides = 1 + controls;
    const bath = await done('/api/baths', {
      reagent: DYE,
      fills: fill(source, 50),
      maxSlides: 2 * slides - 1,
      ...place,
    });
    furnished.containers[DYE] = bath.id;
    const standing = async () => (await manager.get<BathDto>(`/api/baths/${bath.id}`)).body;
    const holding = async (runId: string) =>
      (await manager.get<JudgementDto>(`/api/runs/${runId}/judgement`)).body.subjects
        .flatMap(({ points }) => points.flatMap(({ findings }) => findings))
        .filter(({ rule }) => rule === 'bath-load');

    const first = await bench.start();
    await bench.play(first);
    expect(await standing()).toMatchObject({ passed: slides, left: slides - 1, changeDue: false, usable: true });
    expect(await holding(first)).toEqual([]);
    const second = await bench.start();
    await bench.play(second);
    expect(await standing()).toMatchObject({ passed: 2 * slides, left: 0, changeDue: true, changeBy: 'slides' });
    expect((await standing()).reasons.join()).toContain('change it');
    expect((await holding(second))[0]).toMatchObject({
      rule: 'bath-load',
      weight: 'stop',
      what: expect.stringContaining(`${2 * slides} slides had gone through`),
    });
    // What was stained before it was used up stays right.
    expect(await holding(first)).toEqual([]);

    // A scan that is taken back takes its slides back.
    const events = (
      await manager.get<{ events: { id: string; kind: string; data: { container?: string } }[] }>(`/api/runs/${second}`)
    ).body.events;
    const scan = events.find(({ kind, data }) => kind === 'tray-scanned' && data.container === bath.id)!;
    await bench.must(second, 'corrected', { event: scan.id, withdrawn: true, reason: 'Another jar was used.' });
    expect(await standing()).toMatchObject({ passed: slides, changeDue: false });
    expect(await holding(second)).toEqual([]);
    const rows = await test.store.read(LABORATORY, (view) => view.all(BathUseRow, {}, { order: { seq: 'ASC' } }));
    expect(rows.map((row) => row.slides)).toEqual([slides, slides, 0]);
  });
});

describe('A bath', () => {
  onStock(freshSqlite);

  it('is debited once, carries what tops it up with its limits, and is changed by the same rule', async () => {
    const first = await bottle('xylene', '500 mL', '2027-06-30');
    const second = await bottle('xylene', '500 mL', '2026-11-27');
    const bath = await done('/api/baths', {
      reagent: 'xylene',
      fills: fill(first, 300),
      ...place,
      maxSlides: 100,
      maxDays: 7,
      filterEvery: 'P0D',
    });
    expect(await onHand(first)).toBe(200);
    // Made for 7 days; to be filtered again before the next day of use.
    expect(bath).toMatchObject({
      passed: 0,
      left: 100,
      usable: true,
      filterDueAt: '2026-11-26T01:00:00.000Z',
      changeDueAt: '2026-12-03T01:00:00.000Z',
      changeBy: 'prepared',
      soon: false,
    });
    const topped = await done(`/api/baths/${bath.id}/top-up`, { fills: fill(second, 50) });
    expect(await onHand(second)).toBe(450);
    expect(topped).toMatchObject({ changeDueAt: '2026-11-28T01:00:00.000Z', changeBy: 'component 2: expiry' });
    expect(topped.components.map(({ quantity }) => quantity)).toEqual([mL(300), mL(50)]);
    // What stands in a bath is in use, so none of it is on hand.
    expect(await onHand(bath.id)).toBe(0);

    test.clock.set('2026-11-26T09:00:00.000Z');
    manager = await test.as('manager', 'technician');
    const due = (await manager.get<BathDto[]>('/api/baths?station=Line%201')).body[0]!;
    expect([due.filterDue, due.usable, due.soon]).toEqual([true, false, false]);
    expect(due.reasons[0]).toContain('filter it');
    const filtered = await done(`/api/baths/${bath.id}/filter`, {});
    expect(filtered).toMatchObject({ filterDue: false, usable: true, filterDueAt: '2026-11-27T01:00:00.000Z' });
    test.clock.set('2026-11-27T09:00:00.000Z');
    manager = await test.as('manager', 'technician');
    expect((await manager.get<BathDto[]>('/api/baths')).body[0]).toMatchObject({ soon: true, changeDue: false });

    const next = await done(`/api/baths/${bath.id}/change`, {
      reason: 'Full week.',
      next: { fills: fill(first, 200) },
    });
    expect(next).toMatchObject({ ...place, maxSlides: 100, filterEvery: 'P0D', left: 100, usable: true });
    expect(next.id).not.toBe(bath.id);
    expect((await manager.get<BathDto[]>('/api/baths')).body.map(({ id }) => id)).toEqual([next.id]);
    expect((await post(`/api/baths/${bath.id}/filter`, {})).body.code).toBe('bath-gone');
    expect((await manager.get<BathDto>(`/api/baths/${bath.id}`)).body.acts.map(({ kind }) => kind)).toEqual([
      'topped up',
      'filtered',
    ]);
  });

  it('is rotated to a free place, and takes its rule from a protocol', async () => {
    const source = await bottle('xylene', '2 L');
    const rules = (await manager.get<BathRuleDto[]>('/api/bath-rules?reagent=xylene')).body;
    expect(rules.find(({ protocol }) => protocol === 'he-harris-regressive')).toMatchObject({
      maxSlides: 1000,
      maxDays: 7,
    });
    const bath = (position: number) => ({
      reagent: 'xylene',
      fills: fill(source, 300),
      ...place,
      position,
      protocol: 'he-harris-regressive',
    });
    const one = await done('/api/baths', bath(1));
    const two = await done('/api/baths', bath(2));
    expect(two).toMatchObject({ maxSlides: 1000, changeDueAt: '2026-12-03T01:00:00.000Z' });
    expect((await post('/api/baths', bath(2))).body).toMatchObject({
      code: 'place-taken',
      problems: [{ at: 'position' }],
    });
    expect((await post(`/api/baths/${two.id}/move`, { position: 1 })).body.code).toBe('place-taken');
    await done(`/api/baths/${one.id}/change`, {});
    expect(await done(`/api/baths/${two.id}/move`, { position: 1, reason: 'Rotated forward.' })).toMatchObject(place);
    await done('/api/baths', bath(2));
    expect((await manager.get<BathDto[]>('/api/baths')).body.map(({ position }) => position)).toEqual([1, 2]);
    expect((await post('/api/baths', { ...bath(3), protocol: 'no-such' })).body.code).toBe('no-rule');
  });

  it('takes only what it is, as much as there is, and never tops up with what is not accepted', async () => {
    const source = await bottle('xylene', '500 mL');
    const ethanol = await bottle('ethanol-100', '500 mL');
    const quarantined = await bottle('xylene', '400 mL', '2027-03-31', false);
    const made = (fills: object) => post('/api/baths', { reagent: 'xylene', fills, ...place });
    expect((await made(fill(ethanol, 50))).body).toMatchObject({
      code: 'unusable-component',
      problems: [{ at: 'fills.0', message: expect.stringContaining('holds Ethanol 100 %') }],
    });
    expect((await made(fill(source, 600))).body.code).toBe('not-enough');
    expect((await made([{ container: source, quantity: { value: 5, unit: 'g' } }])).status).toBe(422);
    expect((await manager.get<BathDto[]>('/api/baths')).body).toEqual([]);
    expect(await onHand(source)).toBe(500);
    const bath = (await made(fill(source, 100))).body;
    const refused = await post(`/api/baths/${bath.id}/top-up`, { fills: fill(quarantined, 10) });
    expect(refused.body.code).toBe('component-not-accepted');
    // Made up of what is not accepted it waits for a decision of its own.
    const other = await done('/api/baths', { reagent: 'xylene', fills: fill(quarantined, 100), ...place, position: 2 });
    expect([other.usable, other.reasons[0]]).toEqual([false, expect.stringContaining('quarantined')]);
    const reviewer = await test.as('reviewer');
    expect((await reviewer.post(`/api/baths/${bath.id}/filter`, {})).status).toBe(403);
    expect((await reviewer.get('/api/baths')).status).toBe(403);
    expect((await post('/api/baths/nowhere/filter', {})).status).toBe(404);
  });
});
