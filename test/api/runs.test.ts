import { beforeEach, expect, it } from '@jest/globals';
import type { Finding } from '../../src/core/gate/finding.js';
import type { Judgement } from '../../src/core/gate/judge.js';
import { judge } from '../../src/core/gate/judge.js';
import type { RunView } from '../../src/core/run/view.js';
import { lastSeq } from '../../src/store/questions/entries.js';
import { loadRun, runFacts } from '../../src/store/questions/runs.js';
import { ReleaseRow, RunEventRow } from '../../src/store/rows/runs.entity.js';
import { SealedRow, RecordRow } from '../../src/store/rows/record.entity.js';
import { type Unit } from '../../src/store/unit.js';
import { ContainerActRow } from '../../src/store/rows/stock.entity.js';
import { LABORATORY, PASSWORD, type Client } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, furnish, type Furnished } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface ProblemBody {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
  findings?: Finding[];
}

describeOnEachDatabase('Runs, gate and release', (fresh) => {
  onProgram(fresh, { each: true });

  let furnished: Furnished;
  let bench: Bench;
  let releaser: Client;

  beforeEach(async () => {
    furnished = await furnish(test);
    bench = new Bench(test, await test.as('technician'), furnished);
    releaser = await test.as('releaser');
  });

  const release = (runId: string, changes: object = {}) =>
    releaser.post<ReleaseRow & ProblemBody>(`/api/runs/${runId}/releases`, {
      subjectId: furnished.core,
      point: 'adequacy',
      kind: 'adequacy',
      words: 'adequate: lymphoid cells throughout',
      password: PASSWORD,
      ...changes,
    });
  const events = (runId: string) => test.store.read(LABORATORY, (view) => view.all(RunEventRow, { runId }));

  it('goes from protocol to a signed release', async () => {
    const runId = await bench.start();
    await bench.play(runId);
    const judged = await bench.technician.get<Judgement>(`/api/runs/${runId}/judgement`);
    expect(judged.body.subjects).toMatchObject([
      { subjectId: furnished.core, points: [{ point: 'adequacy', verdict: 'clear', findings: [] }] },
    ]);
    const { status, body } = await release(runId);
    expect(status).toBe(201);
    expect(body).toMatchObject({
      verdict: 'clear',
      kind: 'adequacy',
      signature: { meaning: 'release', at: test.clock.now() },
    });
    expect(body.signature.recordHash).toMatch(/^[0-9a-f]{64}$/);
    expect((await release(runId)).body).toMatchObject({ code: 'released-already' });
    expect((await release(runId, { kind: 'preliminary impression', words: 'reactive pattern' })).status).toBe(201);
    const words = await test.store.read(LABORATORY, (view) => view.all(SealedRow, { ownerId: runId }));
    expect(words.map(({ value }) => value)).toEqual(['adequate: lymphoid cells throughout', 'reactive pattern']);
    const listed = await releaser.get<{ kind: string; words: string }[]>(`/api/releases?run=${runId}`);
    expect(listed.body.map((each) => [each.kind, each.words])).toEqual([
      ['preliminary impression', 'reactive pattern'],
      ['adequacy', 'adequate: lymphoid cells throughout'],
    ]);
    const chain = await test.store.read(LABORATORY, (view) => view.all(RecordRow, {}, { order: { seq: 'ASC' } }));
    expect(chain.some((entry) => entry.body.includes('lymphoid'))).toBe(false);
  });

  it('refuses to release over the three findings of a bad run, and says each', async () => {
    const runId = await bench.start();
    const dye = furnished.containers['acridine-orange-working'] as string;
    await test.store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'container.opened',
      async (unit: Unit) => {
        await unit.insert(ContainerActRow, {
          containerId: dye,
          at: '2026-11-25T07:00:00.000Z',
          personId: null,
          state: 'opened',
          until: '2026-11-25T08:00:00.000Z',
          reason: null,
        });
        unit.about('container', dye);
      },
    );
    await bench.play(runId, { dye: 40 }, ['negative']);
    const { status, body } = await release(runId);
    expect(status).toBe(409);
    expect(body.code).toBe('held');
    expect(body.findings?.map(({ rule, weight }) => [rule, weight])).toEqual([
      ['step-long', 'stop'],
      ['past-opened-life', 'stop'],
      ['control-failed', 'stop'],
    ]);
    expect(await test.store.read(LABORATORY, (view) => view.count(ReleaseRow))).toBe(0);
  });

  it('finds the same verdict later by the stored number, whatever was recorded since', async () => {
    const runId = await bench.start();
    await bench.play(runId);
    const { body } = await release(runId);
    await bench.must(runId, 'noted', { text: 'seen by a colleague' });
    const dye = furnished.containers['acridine-orange-working'] as string;
    await test.store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'container.emptied',
      async (unit: Unit) => {
        await unit.insert(ContainerActRow, {
          containerId: dye,
          at: '2026-11-25T07:30:00.000Z',
          personId: null,
          state: 'emptied',
          until: null,
          reason: 'found out later',
        });
        unit.about('container', dye);
      },
    );
    const at = async (judgedTo: number) =>
      test.store.read(
        LABORATORY,
        async (view) =>
          judge(await runFacts(view, await loadRun(view, runId, judgedTo), judgedTo)).subjects[0]?.points[0],
      );
    expect(await at(body.judgedTo)).toMatchObject({ verdict: 'clear', findings: [] });
    const now = await test.store.read(LABORATORY, lastSeq);
    expect(await at(now)).toMatchObject({ verdict: 'held', findings: [{ rule: 'emptied' }] });
  });

  it('releases only by a releaser, with the right password, with words where they are needed', async () => {
    const runId = await bench.start();
    await bench.play(runId);
    const asTechnician = await bench.technician.post(`/api/runs/${runId}/releases`, {
      subjectId: furnished.core,
      point: 'adequacy',
      kind: 'adequacy',
      words: 'x',
      password: PASSWORD,
    });
    expect(asTechnician.status).toBe(403);
    expect(await release(runId, { password: 'wrong' })).toMatchObject({
      status: 403,
      body: { code: 'wrong-password' },
    });
    expect(await release(runId, { words: undefined })).toMatchObject({ status: 422, body: { code: 'words-missing' } });
    expect(await release(runId, { point: 'moon' })).toMatchObject({
      status: 422,
      body: { detail: expect.stringContaining('adequacy') as unknown },
    });
    expect(await release(runId, { subjectId: furnished.controls['positive'] })).toMatchObject({
      status: 422,
      body: { code: 'no-such-subject' },
    });
    expect(await test.store.read(LABORATORY, (view) => view.count(ReleaseRow))).toBe(0);
  });

  it('keeps one event of a repeated request, and refuses its key for another', async () => {
    const runId = await bench.start();
    const stamp = bench.stamp();
    const answers = await Promise.all(
      [1, 2, 3].map(() => bench.event(runId, 'step-started', { step: 'receive' }, { key: 'same', stamp })),
    );
    expect(answers.map(({ status }) => status)).toEqual([201, 201, 201]);
    expect(new Set(answers.map(({ body }) => body.event.id)).size).toBe(1);
    expect(await events(runId)).toHaveLength(1);
    expect((await bench.event(runId, 'step-ended', { step: 'receive' }, { key: 'same', stamp })).status).toBe(409);
  });

  it('lets exactly one of two stations start the same step', async () => {
    const runId = await bench.start();
    const other = new Bench(test, await test.as('technician'), furnished, 'station-2');
    const answers = await Promise.all([
      bench.event(runId, 'step-started', { step: 'receive' }),
      other.event(runId, 'step-started', { step: 'receive' }),
    ]);
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409]);
    expect(await events(runId)).toHaveLength(1);
  });

  it('loses no event of twenty stations that write at once', async () => {
    const stations = await Promise.all(
      Array.from({ length: 20 }, async (_, n) => {
        const own = new Bench(test, await test.as('technician'), furnished, `station-${n}`);
        return { own, runId: await own.start() };
      }),
    );
    for (const step of ['receive', 'rinse-blood', 'dye']) {
      const started = await Promise.all(stations.map(({ own, runId }) => own.event(runId, 'step-started', { step })));
      test.clock.forward(10_000);
      const ended = await Promise.all(stations.map(({ own, runId }) => own.event(runId, 'step-ended', { step })));
      expect([...started, ...ended].filter(({ status }) => status !== 201)).toEqual([]);
    }
    for (const { runId } of stations) expect(await events(runId)).toHaveLength(6);
    const { body } = await bench.technician.get<{ runs: RunView[] }>('/api/bench');
    expect(body.runs).toHaveLength(20);
  });

  it('tells at the scan why a bottle may not be used, and still keeps what happened', async () => {
    const runId = await bench.start();
    const wrong = await bench.event(runId, 'tray-scanned', {
      reagent: 'acridine-orange-working',
      container: furnished.containers['saline'],
    });
    expect(wrong).toMatchObject({ status: 201, body: { unusable: [{ code: 'wrong-reagent' }] } });
    const unknown = await bench.event(runId, 'tray-scanned', { reagent: 'saline', container: 'nothing' });
    expect(unknown).toMatchObject({ status: 422, body: { problems: [{ at: 'data.container' }] } });
    expect(await events(runId)).toHaveLength(1);
  });

  it.each([
    ['an unknown kind', { kind: 'sneezed', data: {} }, 'kind'],
    ['an unknown key in the data', { kind: 'step-started', data: { step: 'receive', mood: 'good' } }, 'data.mood'],
    ['data of another kind', { kind: 'step-started', data: { text: 'note' } }, 'data.text'],
    [
      'a stamp without milliseconds',
      { kind: 'noted', data: { text: 'x' }, stamp: { at: '2026-11-25T09:00:00Z' } },
      'stamp.at',
    ],
    ...['2026-02-30T09:00:00.000Z', '2026-13-01T09:00:00.000Z', '2026-11-24T24:00:00.000Z', '0'].map(
      (at): [string, object, string] => [
        `the time ${at}, which does not exist`,
        { kind: 'noted', data: { text: 'x' }, stamp: { at } },
        'stamp.at',
      ],
    ),
    ...['__proto__', 'toString', 'constructor'].map((kind): [string, object, string] => [
      `the kind ${kind}, which every object has by birth`,
      { kind, data: {} },
      'kind',
    ]),
    [
      'a clock session that is null, which two devices would share',
      { kind: 'noted', data: { text: 'x' }, stamp: { clockSession: null } },
      'stamp.clockSession',
    ],
    [
      'a monotonic reading past all clocks',
      { kind: 'noted', data: { text: 'x' }, stamp: { monotonicMs: 1e300 } },
      'stamp.monotonicMs',
    ],
    ['a note of blanks', { kind: 'noted', data: { text: '   ' } }, 'data.text'],
    ['a caution acknowledged before there is one', { kind: 'acknowledged', data: { finding: 'x:y' } }, 'data.finding'],
    [
      'an undecided finding resolved before there is one',
      { kind: 'resolved', data: { finding: 'step-undecided:dye', conforms: true, reason: 'sure' } },
      'data.finding',
    ],
    [
      'a negative uncertainty',
      { kind: 'noted', data: { text: 'x' }, stamp: { uncertaintyMs: -1 } },
      'stamp.uncertaintyMs',
    ],
    [
      'a time in the future',
      { kind: 'noted', data: { text: 'x' }, stamp: { at: '2026-11-25T10:00:00.000Z' } },
      'stamp.at',
    ],
  ])('refuses %s and says where', async (_what, body, at) => {
    const runId = await bench.start();
    const { stamp, ...rest } = body as { stamp?: object };
    const answer = await bench.technician.post<ProblemBody>(`/api/runs/${runId}/events`, {
      ...rest,
      stamp: { ...bench.stamp(), ...stamp },
    });
    expect(answer.status).toBe(422);
    expect(answer.body.problems.map((problem) => problem.at)).toContain(at);
    expect(await events(runId)).toHaveLength(0);
  });

  it('records an answer spoken before it is signed, with what the gate said then', async () => {
    const runId = await bench.start();
    await bench.play(runId, { dye: 40 });
    const answer = await bench.technician.post<{ event: { data: Record<string, unknown> } }>(
      `/api/runs/${runId}/answers`,
      {
        subjectId: furnished.core,
        point: 'adequacy',
        words: 'adequate material',
        listener: 'the radiologist',
        readBack: true,
        stamp: bench.stamp(),
      },
    );
    expect(answer.status).toBe(201);
    expect(answer.body.event.data).toMatchObject({
      verdict: 'held',
      findings: ['step-long:dye'],
      readBack: true,
      listener: 'the radiologist',
    });
    expect(JSON.stringify(answer.body.event.data)).not.toContain('adequate material');
    const { body } = await bench.technician.get<RunView>(`/api/runs/${runId}`);
    expect(Object.values(body.words)).toEqual(['adequate material']);
  });

  it('lists runs, the newest first, part by part', async () => {
    const first = await bench.start();
    const second = await bench.start();
    const list = await bench.technician.get<{ items: { id: string }[]; next: string }>('/api/runs?take=1');
    expect(list.body).toMatchObject({
      items: [{ id: second, title: furnished.protocol.title, onBench: true }],
      next: second,
    });
    const rest = await bench.technician.get<{ items: { id: string }[] }>(`/api/runs?take=1&after=${second}`);
    expect(rest.body.items.map(({ id }) => id)).toEqual([first]);
  });

  it('refuses patients on a revision that is not in force', async () => {
    await test.store.change(
      { laboratoryId: LABORATORY, personId: null, deviceId: null },
      'revision.retired',
      async (unit: Unit) => {
        const { RevisionActRow } = await import('../../src/store/rows/protocols.entity.js');
        await unit.insert(RevisionActRow, {
          revisionId: furnished.revisionId,
          kind: 'retired',
          at: unit.at,
          personId: null,
          data: {},
        });
        unit.about('revision', furnished.revisionId);
      },
    );
    const answer = await bench.technician.post<ProblemBody>('/api/runs', {
      revisionId: furnished.revisionId,
      station: 'Ultrasound 1',
      purpose: 'patients',
      subjects: [{ subjectId: furnished.core, role: 'patient' }],
    });
    expect(answer).toMatchObject({ status: 409, body: { code: 'revision-not-in-force' } });
  });

  it('says of what was done twice who did it first, when, and that it was elsewhere', async () => {
    const runId = await bench.start();
    await bench.must(runId, 'step-started', { step: 'receive' });
    const other = new Bench(test, await test.as('technician'), furnished, 'station-2');
    const twice = (await other.event(runId, 'step-started', { step: 'receive' })) as { status: number; body: object };
    expect(twice).toMatchObject({
      status: 409,
      body: {
        code: 'step-running',
        detail: expect.stringMatching(/end it first\. .+ started it at 2026-\S+Z, from another device\.$/),
      },
    });
  });

  it('takes a run off the bench when its station is cleared, and keeps it', async () => {
    const runId = await bench.start();
    await bench.must(runId, 'step-started', { step: 'receive' });
    expect(await bench.event(runId, 'cleared', {})).toMatchObject({ status: 409, body: { code: 'step-running' } });
    await bench.must(runId, 'step-ended', { step: 'receive' });
    await bench.must(runId, 'cleared', {});
    expect((await bench.technician.get<{ runs: RunView[] }>('/api/bench')).body.runs).toEqual([]);
    expect((await bench.technician.get<RunView>(`/api/runs/${runId}`)).body).toMatchObject({
      id: runId,
      station: 'Ultrasound 1',
    });
  });
});
