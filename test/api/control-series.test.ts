import { beforeEach, describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import type {
  AddedValuesDto,
  EvaluationDto,
  LimitsProposalDto,
  SeriesDto,
  SeriesHistoryDto,
} from '../../src/contract/control-series.dto.js';
import { type Client, PASSWORD } from '../support/app.js';
import { freshSqlite } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}

describe('Series of numbers', () => {
  onProgram(freshSqlite, { each: true });

  let manager: Client;

  beforeEach(async () => {
    manager = await test.as('manager');
  });

  const WESTGARD = ['1-2s', '1-3s', '2-2s', 'R-4s', '4-1s', '10x'];
  const create = async (changes: object = {}): Promise<SeriesDto & Refused> =>
    (
      await manager.post<SeriesDto & Refused>('/api/control-series', {
        code: 'slide',
        title: 'Fluorescent slide',
        unit: '{score}',
        levels: ['low', 'high'],
        rules: WESTGARD.map((rule) => ({ rule, weight: rule === '1-2s' ? 'warn' : 'reject' })),
        ...changes,
      })
    ).body;
  const idOf = (series: SeriesDto, level = 'low'): string =>
    series.levels.find((each) => each.level === level)?.id ?? '';
  const measure = async (series: SeriesDto, values: Record<string, number>, extra: object = {}) => {
    test.clock.forward(60_000);
    const { status, body } = await manager.post<AddedValuesDto & Refused>(
      `/api/control-series/${idOf(series)}/values`,
      {
        values: Object.entries(values).map(([level, value]) => ({ level, value })),
        ...extra,
      },
    );
    return { status, ...body };
  };
  const setLimits = (series: SeriesDto, level: string, period: { from: string; to: string }, changes: object = {}) =>
    manager.post<SeriesDto & Refused>(`/api/control-series/${idOf(series, level)}/limits`, {
      source: 'first points',
      ...period,
      since: period.to,
      reason: 'the first ones',
      password: PASSWORD,
      ...changes,
    });
  /** Values of the published multirule case, as deviations from a mean of 100 with an SD of 10. */
  const withLimits = async (): Promise<SeriesDto> => {
    const series = await create();
    const from = test.clock.now();
    for (const z of [-1, 1, -1, 1, -1, 1]) await measure(series, { low: 100 + 10 * z, high: 200 + 10 * z });
    test.clock.forward(1000);
    for (const level of ['low', 'high'])
      expect((await setLimits(series, level, { from, to: test.clock.now() })).status).toBe(200);
    return series;
  };

  it('judges each value by signed limits from its own first points, across levels too', async () => {
    const series = await withLimits();
    const { limits } = (await manager.get<SeriesDto>(`/api/control-series/${idOf(series)}`)).body;
    expect(limits[0]).toMatchObject({ level: 'low', mean: 100, n: 6, provisional: true, source: 'first points' });
    expect(limits[0]?.sd).toBeCloseTo(10 * Math.sqrt(6 / 5), 10);
    expect((await measure(series, { low: 105, high: 195 })).values).toMatchObject([
      { verdict: 'accept', fired: [] },
      { verdict: 'accept', fired: [] },
    ]);
    expect((await measure(series, { low: 126, high: 226 })).values).toMatchObject([
      { level: 'low', verdict: 'reject', fired: ['1-2s', '2-2s-across'] },
      { level: 'high', verdict: 'reject', fired: ['1-2s', '2-2s-across'] },
    ]);
    const { batches } = (await manager.get<EvaluationDto>(`/api/control-series/${idOf(series)}/evaluation`)).body;
    expect(batches).toHaveLength(8);
    expect(batches.at(-1)).toMatchObject({ verdict: 'reject' });
    expect(batches[0]).toMatchObject({ verdict: null });
    const history = (await manager.get<SeriesHistoryDto>(`/api/control-series/${idOf(series)}/history`)).body;
    expect(history).toMatchObject({ values: 16, batches: 8, rejected: 1, byRule: { '1-2s': 2, '2-2s-across': 1 } });
  });

  it('looks no further back than a corrective action, and judges anew by other rules', async () => {
    const series = await withLimits();
    expect((await measure(series, { low: 124 })).values[0]).toMatchObject({ verdict: 'warn' });
    const marked = await manager.post<SeriesDto>(`/api/control-series/${idOf(series)}/marks`, {
      kind: 'corrective action',
      text: 'lamp changed',
    });
    expect(marked.body.marks).toMatchObject([{ kind: 'corrective action' }, { kind: 'corrective action' }]);
    expect((await measure(series, { low: 124 })).values[0]).toMatchObject({ fired: ['1-2s'], verdict: 'warn' });
    expect((await measure(series, { low: 124 })).values[0]).toMatchObject({ verdict: 'reject' });
    const only = { rules: [{ rule: '1-3s', weight: 'reject' }], reason: 'one level only' };
    expect((await manager.post(`/api/control-series/${idOf(series)}/rules`, only)).status).toBe(200);
    expect((await manager.get<SeriesHistoryDto>(`/api/control-series/${idOf(series)}/history`)).body.byRule).toEqual(
      {},
    );
  });

  it('converts units by UCUM and refuses those of another kind', async () => {
    const series = await create({ code: 'bath', unit: 'Cel', levels: ['bath'], rules: [] });
    const post = (value: object) =>
      manager.post<AddedValuesDto & Refused>(`/api/control-series/${idOf(series, 'bath')}/values`, { values: [value] });
    expect((await post({ level: 'bath', value: 310.15, unit: 'K' })).body.values[0]).toMatchObject({ value: 37 });
    expect((await post({ level: 'bath', value: 5, unit: 'mL' })).body.code).toBe('unit-mismatch');
    expect((await post({ level: 'bath', value: 5, unit: 'degrees' })).body.code).toBe('wrong-unit');
    expect((await create({ code: 'other', unit: 'degrees' })).code).toBe('wrong-unit');
  });

  it('refuses what is no result, half-stores nothing, and says what would be right', async () => {
    const series = await create();
    for (const text of ['NaN', 'Infinity', '1e999', '"12"', 'null']) {
      const body = `{"values":[{"level":"low","value":1},{"level":"high","value":${text}}]}`;
      const { status } = await manager.post(`/api/control-series/${idOf(series)}/values`, body);
      expect([text, [400, 422].includes(status)]).toEqual([text, true]);
    }
    expect(await measure(series, { low: 1, high: 2e12 })).toMatchObject({ status: 422, code: 'bad-result' });
    expect(await measure(series, { low: 1, middle: 2 })).toMatchObject({ status: 422, code: 'unknown-level' });
    expect(await measure(series, { low: 1 }, { at: '2027-01-01T00:00:00.000Z' })).toMatchObject({ code: 'in-future' });
    expect(await measure(series, { low: 1 }, { runId: 'nowhere' })).toMatchObject({ status: 404 });
    const { batches } = (await manager.get<EvaluationDto>(`/api/control-series/${idOf(series)}/evaluation`)).body;
    expect(batches).toEqual([]);
    expect((await create()).code).toBe('code-taken');
    expect((await create({ code: 'x', protocolId: 'nowhere', requirement: 'positive' })).code).toBe('not-found');
    expect((await create({ code: 'x', requirement: 'positive' })).code).toBe('control-missing');
    expect((await create({ code: 'x', rules: [{ rule: '5x', weight: 'reject' }] })).problems[0]?.at).toBe(
      'rules.0.rule',
    );
  });

  it('refuses limits without spread, from too few values, and without a signature', async () => {
    const series = await create();
    const from = test.clock.now();
    expect((await setLimits(series, 'low', { from, to: test.clock.now() })).body.code).toBe('too-few');
    await measure(series, { low: 5 });
    expect((await setLimits(series, 'low', { from, to: test.clock.now() })).body.code).toBe('too-few');
    await measure(series, { low: 5 });
    expect((await setLimits(series, 'low', { from, to: test.clock.now() })).body.code).toBe('no-spread');
    const newLot = { source: 'new lot' };
    expect((await setLimits(series, 'low', { from, to: test.clock.now() }, newLot)).body.code).toBe('no-old-limits');
    await measure(series, { low: 6 });
    const period = { from, to: test.clock.now() };
    expect((await setLimits(series, 'low', period, { password: 'not it at all' })).status).toBe(403);
    const proposed = `from=${period.from}&to=${period.to}`;
    const { body } = await manager.get<LimitsProposalDto>(
      `/api/control-series/${idOf(series)}/limits/proposal?source=cumulative&${proposed}`,
    );
    expect(body).toMatchObject({ n: 3, mean: 16 / 3, provisional: true });
    expect((await manager.get<SeriesDto>(`/api/control-series/${idOf(series)}`)).body.limits).toEqual([]);
  });

  it('finds in a stored series what the published multirule cases say', async () => {
    interface Case {
      id: string;
      rules: string[];
      levels: { level: string; mean?: string; sd?: string; x?: (string | null)[]; z?: (string | null)[] }[];
      resetBeforeRun: number[];
      expected: { fired: { run: number; rule: string; levels: string[] }[] };
    }
    const file = JSON.parse(readFileSync('test/vectors/multirule.json', 'utf8')) as { cases: Case[] };
    const whole = file.cases.find(
      ({ levels, resetBeforeRun, expected }) =>
        levels.length === 2 && resetBeforeRun.length === 0 && expected.fired.length > 2,
    );
    if (!whole) throw new Error('the published cases have one of two levels without a reset');
    const names = whole.levels.map(({ level }) => level);
    const series = await create({
      levels: names,
      rules: whole.rules.map((rule) => ({ rule, weight: rule === '1-2s' ? 'warn' : 'reject' })),
    });
    const id = idOf(series, names[0]);
    const from = test.clock.now();
    const post = (values: object[]) => {
      test.clock.forward(60_000);
      return manager.post<AddedValuesDto>(`/api/control-series/${id}/values`, { values });
    };
    // Values at -1 and +1 around 0 have a mean of 0 and an SD of sqrt(n / (n - 1)).
    const n = 20;
    for (let k = 0; k < n; k++) await post(names.map((level) => ({ level, value: k % 2 === 0 ? -1 : 1 })));
    test.clock.forward(1000);
    for (const level of names) {
      const period = { from, to: test.clock.now() };
      expect((await setLimits(series, level, period)).status).toBe(200);
    }
    const sd = Math.sqrt(n / (n - 1));
    const runs = whole.levels[0]?.z?.length ?? whole.levels[0]?.x?.length ?? 0;
    const fired: { run: number; rule: string; levels: string[] }[] = [];
    for (let run = 0; run < runs; run++) {
      const values = whole.levels.flatMap(({ level, z, x, mean, sd: own }) => {
        const text = z ? z[run] : x?.[run];
        if (text === null || text === undefined) return [];
        const deviation = z ? Number(text) : (Number(text) - Number(mean)) / Number(own);
        return [{ level, value: deviation * sd }];
      });
      if (values.length > 0) await post(values);
    }
    const { batches } = (await manager.get<EvaluationDto>(`/api/control-series/${id}/evaluation`)).body;
    batches.slice(n).forEach((batch, k) => {
      for (const { rule, levels } of batch.fired) fired.push({ run: k + 1, rule, levels });
    });
    const key = (each: { run: number; rule: string; levels: string[] }): string =>
      `${String(each.run).padStart(3, '0')} ${each.rule} ${each.levels.join(' ')}`;
    expect(fired.map(key).sort()).toEqual(whole.expected.fired.map(key).sort());
    expect(fired.length).toBeGreaterThan(0);
  });

  it('draws the charts as a picture for reports', async () => {
    const series = await withLimits();
    await measure(series, { low: 140 });
    const { status, headers, body } = await manager.get<string>(`/api/control-series/${idOf(series)}/chart.svg`);
    expect([status, headers.get('content-type')]).toEqual([200, expect.stringContaining('image/svg+xml')]);
    expect(body).toContain('<title>Fluorescent slide</title>');
    expect(body).toContain('1-3s');
  });
});
