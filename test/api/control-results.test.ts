import { beforeEach, expect, it } from '@jest/globals';
import type {
  ControlResultListDto,
  FailureListDto,
  FailureStoryDto,
  LotResultsListDto,
} from '../../src/contract/control-results.dto.js';
import type { AddedValuesDto } from '../../src/contract/control-series.dto.js';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import { PASSWORD, type Client } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}

describeOnEachDatabase('Results of controls', (fresh) => {
  onProgram(fresh, { each: true });

  let bench: Bench;
  let second: Client;
  let releaser: Client;
  let keys = 0;

  beforeEach(async () => {
    bench = new Bench(test, await test.as('technician'), await furnish(test));
    second = await test.as('technician');
    releaser = await test.as('releaser');
  });

  const results = async (query = ''): Promise<ControlResultListDto['items']> =>
    (await releaser.get<ControlResultListDto>(`/api/control-results${query}`)).body.items;
  const failures = async (): Promise<FailureListDto['items']> =>
    (await releaser.get<FailureListDto>('/api/control-failures')).body.items;
  const story = async (id: string): Promise<FailureStoryDto> =>
    (await releaser.get<FailureStoryDto>(`/api/control-failures/${id}`)).body;
  const rules = async (runId: string): Promise<string[]> => {
    const { body } = await releaser.get<JudgementDto>(`/api/runs/${runId}/judgement`);
    return (
      body.subjects[0]?.points[0]?.findings.filter(({ weight }) => weight === 'stop').map(({ rule }) => rule) ?? []
    );
  };
  const read = (runId: string, control: string, data: object, by: Client = bench.technician) => {
    keys += 1;
    return by.post<{ event: { id: string } } & Refused>(
      `/api/runs/${runId}/events`,
      {
        kind: 'control-read',
        data: { control: bench.furnished.controls[control], observed: 'as expected', passed: true, ...data },
        stamp: bench.stamp(),
      },
      { headers: { 'idempotency-key': `reading-${keys}` } },
    );
  };
  /** A run that is played in a minute, with the controls that fail. */
  const run = async (failing: string[] = []): Promise<string> => {
    const id = await bench.start();
    await bench.play(id, {}, failing);
    test.clock.forward(60_000);
    return id;
  };
  /** A run that stood between others without controls of its own. */
  const bare = async (): Promise<string> => {
    const { controls, ...rest } = bench.furnished;
    const alone = new Bench(test, bench.technician, { ...rest, controls: {} }, `station-${(keys += 1) + 1}`);
    const id = await alone.start();
    await alone.play(id);
    test.clock.forward(60_000);
    return id;
  };
  const act = (id: string, body: object, by: Client = bench.technician) =>
    by.post<FailureStoryDto & Refused>(`/api/control-failures/${id}/acts`, body);
  const close = (id: string, body: object) =>
    releaser.post<FailureStoryDto & Refused>(`/api/control-failures/${id}/close`, { password: PASSWORD, ...body });

  it('keeps each reading with the day, the lots on the tray and the criteria, and sums them up by lot', async () => {
    const id = await run();
    const all = await results(`?run=${id}`);
    expect(all.map(({ requirement, passed }) => [requirement, passed])).toEqual(
      expect.arrayContaining(Object.keys(bench.furnished.controls).map((control) => [control, true])),
    );
    expect(all[0]).toMatchObject({ day: '2026-11-25', runId: id, protocolId: 'ao-fresh', second: 'none' });
    expect(Object.keys(all[0]?.lots ?? {}).sort()).toEqual(Object.keys(bench.furnished.containers).sort());
    const again = await bench.start();
    const criteria = [
      { criterion: 'nuclear-crispness', grade: 1, seen: 'pale' },
      { criterion: 'background', grade: 'fail' },
    ];
    expect((await read(again, 'positive', { passed: true, criteria })).body).toMatchObject({ code: 'invalid-event' });
    for (const [reagent, container] of Object.entries(bench.furnished.containers)) {
      await bench.must(again, 'tray-scanned', { reagent, container });
    }
    expect((await read(again, 'positive', { passed: false, observed: 'pale nuclei', criteria })).status).toBe(201);
    const { items } = (await releaser.get<LotResultsListDto>('/api/control-results/by-lot')).body;
    expect(items.find(({ reagent }) => reagent === 'acridine-orange-working')).toMatchObject({
      number: 'QUILL-acridine-orange-working',
      failed: 1,
      criteria: [
        { criterion: 'nuclear-crispness', judged: 1, mean: 1, poor: 1 },
        { criterion: 'background', judged: 1, mean: 0, poor: 1 },
      ],
    });
  });

  it('refuses readings that contradict themselves, with what would be right', async () => {
    const id = await bench.start();
    const refusal = async (data: object, by?: Client): Promise<[number, string | undefined]> => {
      const { status, body } = await read(id, 'positive', data, by);
      return [status, body.problems?.[0]?.at];
    };
    expect(await refusal({ reading: 'second' })).toEqual([422, 'data.reading']);
    expect(await refusal({ reading: 'third' })).toEqual([422, 'data.reading']);
    expect(await refusal({ criteria: [{ criterion: 'background', grade: 7 }] })).toEqual([
      422,
      'data.criteria.0.grade',
    ]);
    expect((await read(id, 'positive', { pictures: ['nowhere'] })).status).toBe(404);
    expect((await read(id, 'positive', {})).status).toBe(201);
    expect(await refusal({ reading: 'second' })).toEqual([422, 'data.reading']);
    expect((await read(id, 'positive', { reading: 'second' }, second)).status).toBe(201);
    expect(await refusal({ reading: 'agreed' })).toEqual([422, 'data.reading']);
    expect(await results(`?run=${id}`)).toMatchObject([{ passed: true, second: 'agrees' }]);
  });

  it('takes two readers who disagree as not passed until they agree, and then as they agreed', async () => {
    const id = await run();
    expect(await rules(id)).toEqual([]);
    const dim = { reading: 'second', passed: false, observed: 'too dim' };
    expect((await read(id, 'positive', dim, second)).status).toBe(201);
    expect(await rules(id)).toEqual(['control-failed']);
    const [failure] = await failures();
    expect(failure).toMatchObject({ state: 'open', result: { second: 'disagrees', requirement: 'positive' } });
    expect(
      (await read(id, 'positive', { reading: 'agreed', observed: 'dim field, good elsewhere' }, second)).status,
    ).toBe(201);
    expect(await rules(id)).toEqual([]);
    expect(await failures()).toEqual([]);
  });

  it('undoes a failure when its reading is withdrawn, and judges the earlier record as before', async () => {
    const id = await run();
    const failed = await read(id, 'negative', { passed: false, observed: 'glows' });
    const [failure] = await failures();
    expect(failure?.result).toMatchObject({ requirement: 'negative', observed: 'glows' });
    expect(await rules(id)).toEqual(['control-failed']);
    await bench.must(id, 'corrected', { event: failed.body.event.id, withdrawn: true, reason: 'read the wrong slide' });
    expect(await failures()).toEqual([]);
    expect(await rules(id)).toEqual([]);
    expect((await releaser.get<Refused>(`/api/control-failures/${failure?.id}`)).body.code).toBe('no-failure');
  });

  it('holds what a failed control covers, opens its lookback, and closes by cause, action, repeat and signature', async () => {
    const before = await run();
    const between = await bare();
    const failing = await run(['negative']);
    const late = await bare();
    const [failure] = await failures();
    if (!failure) throw new Error('the negative control failed');
    const { lookbackId, covers, lastPassing, firstPassing } = await story(failure.id);
    expect(lastPassing).toMatchObject({ runId: before });
    expect(firstPassing).toBeNull();
    expect(covers.map(({ runId }) => runId)).toEqual([between, failing, late]);
    expect(covers[0]?.subjects[0]).toMatchObject({
      releases: [],
      todo: 'hold it until a repeat passed',
      outcome: null,
    });
    expect(await rules(before)).toEqual([]);
    expect(await rules(between)).toContain('control-failure-open');
    expect(await rules(failing)).toEqual(['control-failed']);

    const repeat = await run();
    const after = await bare();
    expect(await rules(repeat)).toEqual([]);
    expect(await rules(after)).not.toContain('control-failure-open');
    expect(await rules(late)).toContain('control-failure-open');

    expect((await close(failure.id, { ended: 'repeated', reason: 'done' })).body.problems[0]?.at).toBe('cause');
    expect((await act(failure.id, { kind: 'cause', text: 'Rinse shared with the dye' })).status).toBe(200);
    expect((await act(failure.id, { kind: 'action', text: 'Fresh rinse for each core' })).status).toBe(200);
    const passes = await results(`?run=${repeat}`);
    const wrong = passes.find(({ requirement }) => requirement === 'positive')?.id;
    const right = passes.find(({ requirement }) => requirement === 'negative')?.id;
    expect((await act(failure.id, { kind: 'repeat', text: 'passed', repeatId: wrong })).status).toBe(422);
    expect((await act(failure.id, { kind: 'repeat', text: 'no nuclear pattern', repeatId: right })).status).toBe(200);
    const early = await close(failure.id, { ended: 'repeated', reason: 'done' });
    expect([early.status, early.body.code, early.body.problems.length]).toEqual([409, 'cases-open', 3]);

    const core = bench.furnished.core;
    const answer = (runIds: string[], outcome: string) =>
      releaser.post(`/api/lookbacks/${lookbackId}/answers`, {
        items: runIds.map((runId) => ({ runId, subjectId: core })),
        outcome,
        reason: 'looked at again',
      });
    expect((await answer([between], 'not affected')).status).toBe(200);
    expect((await answer([failing, late], 'to be repeated')).status).toBe(200);
    const closed = await close(failure.id, { ended: 'repeated', reason: 'Rinse changed, repeat passed' });
    expect(closed.status).toBe(200);
    expect(closed.body).toMatchObject({ state: 'repeated', firstPassing: { runId: repeat } });
    expect(closed.body.acts.at(-1)?.signature).toMatchObject({ meaning: 'review' });
    expect((await close(failure.id, { ended: 'repeated', reason: 'again' })).body.code).toBe('closed-already');
    expect(await rules(between)).not.toContain('control-failure-open');
    expect(await rules(late)).toContain('control-failure-decided');
  });

  it('closes as not repeatable only with what that means for each case, which stays held', async () => {
    await run();
    const between = await bare();
    const failing = await run(['positive']);
    const [failure] = await failures();
    if (!failure) throw new Error('the positive control failed');
    await act(failure.id, { kind: 'cause', text: 'No tissue was left on the control' });
    const meaning = (runId: string) => ({
      runId,
      subjectId: bench.furnished.core,
      meaning: 'No second piece; told the ward',
    });
    const ended = { ended: 'not repeatable', reason: 'No material left' };
    expect((await close(failure.id, { ...ended, cases: [meaning(between)] })).status).toBe(409);
    const closed = await close(failure.id, { ...ended, cases: [meaning(between), meaning(failing)] });
    expect(closed.body).toMatchObject({ state: 'not repeatable' });
    expect(await rules(between)).toContain('control-failure-decided');
  });

  it('lets only a releaser or director close, and nobody close without the password', async () => {
    await run(['positive']);
    const [failure] = await failures();
    const body = { ended: 'withdrawn', reason: 'taken out of use', password: PASSWORD };
    expect((await second.post(`/api/control-failures/${failure?.id}/close`, body)).status).toBe(403);
    expect((await close(failure?.id ?? '', { ...body, password: 'not it at all' })).status).toBe(403);
  });

  it('counts controls of runs without patients, and leaves out those of training', async () => {
    const { revisionId, controls } = bench.furnished;
    const start = async (purpose: string): Promise<string> => {
      const { body } = await bench.technician.post<{ id: string }>('/api/runs', {
        revisionId,
        station: 'Ultrasound 1',
        purpose,
        subjects: Object.entries(controls).map(([control, subjectId]) => ({ subjectId, role: 'control', control })),
      });
      return body.id;
    };
    const [acceptance, training] = [await start('acceptance'), await start('training')];
    await read(acceptance, 'positive', {});
    await read(training, 'positive', { passed: false, observed: 'a lesson' });
    expect((await results()).map(({ runId, passed }) => [runId, passed])).toEqual([[acceptance, true]]);
    expect(await failures()).toEqual([]);
  });

  it('takes a value that breaks a rejecting rule as a failed control', async () => {
    const manager = await test.as('manager');
    const series = await manager.post<{ levels: { id: string }[] }>('/api/control-series', {
      code: 'ao-signal',
      title: 'Nuclear signal to background',
      unit: '{ratio}',
      levels: ['control'],
      protocolId: 'ao-fresh',
      requirement: 'positive',
      rules: [{ rule: '1-3s', weight: 'reject' }],
    });
    const id = series.body.levels[0]?.id ?? '';
    const add = async (value: number, extra: object = {}) =>
      (
        await manager.post<AddedValuesDto>(`/api/control-series/${id}/values`, {
          values: [{ level: 'control', value }],
          ...extra,
        })
      ).body.values[0];
    const from = test.clock.now();
    for (const value of [10, 11, 9, 10, 10]) {
      test.clock.forward(60_000);
      expect(await add(value)).toMatchObject({ verdict: null });
    }
    test.clock.forward(1000);
    const to = test.clock.now();
    const limits = { source: 'first points', from, to, since: to, reason: 'first five', password: PASSWORD };
    expect((await manager.post(`/api/control-series/${id}/limits`, limits)).status).toBe(200);
    const runId = await run();
    expect(await add(11, { runId })).toMatchObject({ verdict: 'accept', fired: [] });
    expect(await failures()).toEqual([]);
    expect(await add(4, { runId })).toMatchObject({ verdict: 'reject', fired: ['1-3s'] });
    const [failure] = await failures();
    expect(failure?.result).toMatchObject({
      requirement: 'positive',
      runId,
      observed: 'Nuclear signal to background, control: 4 {ratio}; broke 1-3s',
    });
    expect(await rules(runId)).toEqual(['control-failure-open']);
  });
});
