import { beforeEach, expect, it } from '@jest/globals';
import type {
  LookbackDto,
  LookbackItemListDto,
  LotTraceDto,
  RecallViewDto,
  SubjectTraceDto,
  TracedRunListDto,
} from '../../src/contract/recalls.dto.js';
import type { ReleaseDto } from '../../src/contract/releases.dto.js';
import { makeLabel } from '../../src/core/gs1/label.js';
import { plusMs } from '../../src/core/time/instant.js';
import { type NoticeRow } from '../../src/store/rows/jobs.entity.js';
import { LookbackRow, RecallRow } from '../../src/store/rows/lookback.entity.js';
import { ComponentRow, ContainerActRow, ContainerRow, LotActRow, LotRow } from '../../src/store/rows/stock.entity.js';
import { verifyRecord } from '../../src/store/questions/verify.js';
import { type Client, LABORATORY, PASSWORD, START } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, furnish, type Furnished } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

const DYE = 'acridine-orange-working';
const GTIN = '09521234543213';
const HOUR_MS = 3_600_000;

interface Refused {
  code: string;
  detail: string;
  problems?: { at: string }[];
}

interface Chain {
  /** Two shipments of the dye as it was bought. */
  bought: string;
  again: string;
  stock: string;
  working: string;
  /** A bottle of the working solution. */
  bottle: string;
}

describeOnEachDatabase('A recall', (fresh) => {
  onProgram(fresh, { each: true });

  let furnished: Furnished;
  let chain: Chain;
  let manager: Client;
  let releaser: Client;
  let bench: Bench;

  beforeEach(async () => {
    furnished = await furnish(test);
    chain = await makeChain();
    manager = await test.as('manager');
    releaser = await test.as('releaser');
    bench = new Bench(test, await test.as('technician'), furnished);
  });

  /** A dye that was bought twice, a stock solution of it, and a working solution of that. */
  function makeChain(): Promise<Chain> {
    const program = { laboratoryId: LABORATORY, personId: null, deviceId: null };
    let n = 0;
    return test.store.change(program, 'laboratory.furnished', async (unit) => {
      const lotOf = async (reagentCode: string, number: string, made: string[]): Promise<[string, string]> => {
        n += 1;
        const at = plusMs(START, (n - 10) * HOUR_MS);
        const supplied = made.length === 0;
        const { id } = await unit.insert(LotRow, {
          reagentCode,
          number,
          gtin: supplied ? GTIN : null,
          origin: supplied ? 'supplied' : 'prepared',
          source: 'Tidewater Reagents (invented)',
          receivedAt: at,
          limits: [{ by: supplied ? 'expiry' : 'prepared', until: plusMs(START, 9000 * HOUR_MS) }],
        });
        await unit.insert(LotActRow, { lotId: id, at, standing: 'accepted', reason: 'checked' });
        const label = makeLabel(supplied ? 'C' : 'P', `QY-90${n}`);
        const container = await unit.insert(ContainerRow, { lotId: id, label });
        await unit.insert(ContainerActRow, { containerId: container.id, at, state: 'opened' });
        for (const containerId of made) await unit.insert(ComponentRow, { lotId: id, containerId, at });
        return [id, container.id];
      };
      const [bought, bottleBought] = await lotOf('acridine-orange', 'QUILL-A', []);
      const [again] = await lotOf('acridine-orange', 'QUILL-A', []);
      const [stock, bottleStock] = await lotOf('acridine-orange-stock', 'P-STOCK', [bottleBought]);
      const [working, bottle] = await lotOf(DYE, 'P-WORKING', [bottleStock]);
      unit.about('laboratory', LABORATORY);
      return { bought, again, stock, working, bottle };
    });
  }

  /** A run with that bottle of dye, released. */
  async function releasedRun(dye: string): Promise<string> {
    const runId = await bench.start();
    const own = new Bench(
      test,
      bench.technician,
      { ...furnished, containers: { ...furnished.containers, [DYE]: dye } },
      `s-${runId}`,
    );
    await own.play(runId);
    await own.must(runId, 'cleared', {});
    const { status, body } = await releaser.post<ReleaseDto>(`/api/runs/${runId}/releases`, {
      subjectId: furnished.core,
      point: 'adequacy',
      kind: 'adequacy',
      words: 'Adequate (invented).',
      password: PASSWORD,
    });
    if (status !== 201) throw new Error(JSON.stringify(body));
    return runId;
  }

  const recall = (body: object, headers = {}) =>
    manager.post<RecallViewDto & Refused>(
      '/api/recalls',
      { reason: 'Wrong strength, says the maker.', ...body },
      { headers },
    );

  it('is traced through two levels of preparations to runs, specimens and releases, and back', async () => {
    const touched = await releasedRun(chain.bottle);
    await releasedRun(furnished.containers[DYE] as string);

    const { body } = await manager.get<LotTraceDto>(`/api/trace/lot/${chain.bought}`);
    expect(body.counts).toEqual({ containers: 3, preparations: 2, runs: 1, subjects: 1, releases: 1 });
    expect(body.lots.map(({ id, madeOf, containers }) => [id, madeOf.length, containers[0]?.runs])).toEqual([
      [chain.bought, 0, 0],
      [chain.stock, 1, 0],
      [chain.working, 1, 1],
    ]);
    const runs = (await manager.get<TracedRunListDto>(`/api/trace/lot/${chain.bought}/runs?take=1`)).body;
    expect(runs.items.map(({ id, containerIds }) => [id, containerIds])).toEqual([[touched, [chain.bottle]]]);
    expect(runs.items[0]?.subjects.find(({ role }) => role === 'patient')?.releases).toMatchObject([
      { kind: 'adequacy' },
    ]);
    const rest = (await manager.get<TracedRunListDto>(`/api/trace/lot/${chain.bought}/runs?after=${runs.next}`)).body;
    expect(rest).toEqual({ items: [], next: null });

    const csv = await manager.get<string>(`/api/trace/lot/${chain.bought}/runs.csv`);
    expect(csv.headers.get('content-type')).toMatch(/^text\/csv/);
    const lines = csv.body.split('\r\n');
    expect(lines).toHaveLength(3);
    expect(lines[1]).toContain(`${touched},`);
    expect(lines[1]).toContain('of preparation P-WORKING, made of SW1:P:');
    expect(lines[1]).toContain('of lot QUILL-A');

    const back = (await manager.get<SubjectTraceDto>(`/api/trace/subject/${furnished.core}`)).body;
    expect(back.runs).toHaveLength(2);
    expect(back.runs.flatMap(({ subjects }) => subjects.map(({ id }) => id))).toEqual([furnished.core, furnished.core]);
    const ids = back.lots.map(({ id }) => id);
    expect(ids).toEqual(expect.arrayContaining([chain.bought, chain.stock, chain.working]));
    expect(ids).not.toContain(chain.again);
    expect(back.subjects[0]?.releases).toHaveLength(2);
  });

  it('sets aside every shipment and preparation in one act, once, and tells the people concerned', async () => {
    const touched = await releasedRun(chain.bottle);
    const before = await head();
    const { status, body } = await recall({ gtin: GTIN.slice(1), number: 'QUILL-A' }, { 'idempotency-key': 'r1' });
    expect([status, body.shipments, body.preparations]).toEqual([
      201,
      [chain.bought, chain.again].sort(),
      [chain.stock, chain.working].sort(),
    ]);
    expect(body.trace.lots.map(({ standing }) => standing)).toEqual(['recalled', 'recalled', 'recalled', 'recalled']);
    expect(await head()).toBe(before + 1);
    expect((await recall({ gtin: GTIN.slice(1), number: 'QUILL-A' }, { 'idempotency-key': 'r1' })).body.id).toBe(
      body.id,
    );
    expect(await head()).toBe(before + 1);
    expect(await count(RecallRow)).toBe(1);

    // What is made of it may not be used any more, and its runs are held.
    const scanned = await manager.get<{ reasons: { code: string }[] }>(`/api/containers/${chain.bottle}`);
    expect(scanned.body.reasons.map(({ code }) => code)).toContain('lot-recalled');
    const judged = await manager.get<{ subjects: { points: { findings: { rule: string }[] }[] }[] }>(
      `/api/runs/${touched}/judgement`,
    );
    const rules = judged.body.subjects.flatMap(({ points }) =>
      points.flatMap(({ findings }) => findings.map(({ rule }) => rule)),
    );
    expect(rules).toContain('lot-recalled');

    const told = body.people.map(({ name, ran, released }) => [name.replace(/-\d+/, ''), ran, released]);
    expect(told).toEqual([
      ['Invented releaser', 0, 1],
      ['Invented technician', 1, 0],
    ]);
    const { body: after } = await manager.post<RecallViewDto>(`/api/recalls/${body.id}/told`, {
      personId: body.people[0]?.personId,
      how: 'by telephone, read back',
    });
    expect(after.people[0]?.told).toMatchObject({
      how: 'by telephone, read back',
      byName: expect.stringContaining('manager'),
    });
    await manager.post(`/api/recalls/${body.id}/told`, { name: 'Ward 3 (invented)', how: 'by letter' });
    const listed = (await manager.get<RecallViewDto>(`/api/recalls/${body.id}`)).body;
    expect(listed.people.map(({ told: last }) => last?.how ?? null)).toEqual([
      'by telephone, read back',
      null,
      'by letter',
    ]);
    expect(await faults()).toEqual([]);
  });

  it('goes the same way from the decision on a lot, and is refused where it makes no sense', async () => {
    const url = `/api/lots/${chain.bought}/decisions`;
    const decided = await manager.post(url, { standing: 'recalled', reason: 'The maker’s letter.' });
    expect(decided.status).toBe(201);
    expect([await count(RecallRow), await count(LookbackRow)]).toEqual([1, 1]);
    expect(await recall({ lotId: chain.again })).toMatchObject({ status: 409, body: { code: 'unchanged' } });
    expect(await recall({ gtin: GTIN, number: 'NONE' })).toMatchObject({ status: 404 });
    expect(await recall({ gtin: '09521234543214', number: 'QUILL-A' })).toMatchObject({
      status: 422,
      body: { code: 'check-digit' },
    });
    expect(await recall({ number: 'QUILL-A' })).toMatchObject({ status: 422, body: { code: 'what-recalled' } });
    expect(await recall({ lotId: chain.bought, gtin: GTIN })).toMatchObject({
      status: 422,
      body: { code: 'what-recalled' },
    });
    expect(await count(RecallRow)).toBe(1);
  });

  it('does not reach what was taken from a bath before it was topped up', async () => {
    const early = await releasedRun(chain.bottle);
    test.clock.forward(60_000);
    const program = { laboratoryId: LABORATORY, personId: null, deviceId: null };
    const added = await test.store.change(program, 'bath.topped-up', async (unit) => {
      const lot = await unit.insert(LotRow, {
        reagentCode: DYE,
        number: 'QUILL-TOP',
        origin: 'supplied',
        source: 'Tidewater Reagents (invented)',
        receivedAt: unit.at,
        limits: [],
      });
      const { id } = await unit.insert(ContainerRow, { lotId: lot.id, label: makeLabel('C', 'QY-950') });
      await unit.insert(ComponentRow, { lotId: chain.working, containerId: id, at: unit.at });
      unit.about('lot', chain.working);
      return lot.id;
    });
    test.clock.forward(60_000);
    const late = await releasedRun(chain.bottle);
    const ids = async (lot: string) =>
      (await manager.get<TracedRunListDto>(`/api/trace/lot/${lot}/runs`)).body.items.map(({ id }) => id);
    expect(await ids(added)).toEqual([late]);
    expect(await ids(chain.bought)).toEqual([early, late]);
  });

  it('leaves releases in question until each is answered, and is closed by signature only then', async () => {
    const runId = await releasedRun(chain.bottle);
    const { body: recalled } = await recall({ lotId: chain.bought });
    const open = (await releaser.get<{ items: LookbackDto[] }>('/api/lookbacks')).body.items;
    expect(open).toMatchObject([
      { id: recalled.lookbackId, cause: 'lot recalled', touched: 1, answered: 0, closed: null },
    ]);
    const questions = async () =>
      (await releaser.get<ReleaseDto[]>(`/api/releases?run=${runId}`)).body.map((each) => each.questions);
    expect(await questions()).toMatchObject([[{ lookbackId: recalled.lookbackId, outcome: null }]]);

    const at = `/api/lookbacks/${recalled.lookbackId}`;
    const items = (await releaser.get<LookbackItemListDto>(`${at}/items?waiting=true`)).body.items;
    expect(items).toMatchObject([{ runId, subjectId: furnished.core, answer: null }]);
    expect(items[0]?.why).toContain('made of');
    expect(items[0]?.subject.releases).toHaveLength(1);

    const close = (password = PASSWORD) =>
      releaser.post<LookbackDto & Refused>(`${at}/close`, { reason: 'All seen.', password });
    expect(await close()).toMatchObject({ status: 409, body: { code: 'not-answered' } });
    const answer = (of: object[], outcome = 'withdrawn') =>
      releaser.post<LookbackDto & Refused>(`${at}/answers`, {
        items: of,
        outcome,
        reason: 'Dye too weak; stained anew.',
      });
    const mine = { runId, subjectId: furnished.core };
    expect(await answer([mine, { runId, subjectId: 'made-up' }])).toMatchObject({
      status: 422,
      body: { code: 'not-touched', problems: [{ at: 'items.1' }] },
    });
    expect((await releaser.get<LookbackDto>(at)).body.answered).toBe(0);
    expect(await answer([mine], 'not affected')).toMatchObject({ status: 200, body: { touched: 1, answered: 1 } });
    // A second thought counts instead.
    expect(await answer([mine])).toMatchObject({ status: 200, body: { touched: 1, answered: 1 } });
    expect(await questions()).toMatchObject([[{ outcome: 'withdrawn' }]]);
    expect((await releaser.get<LookbackItemListDto>(`${at}/items?waiting=true`)).body.items).toEqual([]);

    expect(await close('not my password')).toMatchObject({ status: 403, body: { code: 'wrong-password' } });
    expect(await close()).toMatchObject({
      status: 200,
      body: { closed: { signature: { meaning: 'responsibility' } } },
    });
    expect(await close()).toMatchObject({ status: 409, body: { code: 'closed-already' } });
    expect(await answer([mine], 'not affected')).toMatchObject({ status: 409, body: { code: 'closed-already' } });
    expect(await questions()).toMatchObject([[{ outcome: 'withdrawn' }]]);
    expect((await releaser.get<{ items: LookbackDto[] }>('/api/lookbacks')).body.items).toEqual([]);
    expect((await releaser.get<{ items: LookbackDto[] }>('/api/lookbacks?state=closed')).body.items).toHaveLength(1);
    expect(await faults()).toEqual([]);
  });

  const head = async (): Promise<number> => (await manager.get<never>('/api/record?take=1')).body['last'];
  const count = (row: typeof RecallRow | typeof LookbackRow | typeof NoticeRow): Promise<number> =>
    test.store.read(LABORATORY, (view) => view.count(row as typeof RecallRow));
  const faults = async (): Promise<string[]> =>
    test.store.read(LABORATORY, async (view) => {
      const found: string[] = [];
      for await (const { message } of verifyRecord(view).faults) found.push(message);
      return found;
    });
});
