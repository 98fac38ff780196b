import { beforeAll, expect, it } from '@jest/globals';
import type { ControlResultListDto } from '../../src/contract/control-results.dto.js';
import type { PlanDto } from '../../src/contract/control-plans.dto.js';
import type { JudgementDto, RunViewDto } from '../../src/contract/run-view.dto.js';
import type { PlannedControl } from '../../src/core/controls/planned.js';
import { type Client, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
  problems?: { at: string; message: string }[];
}

const NUCLEI = {
  code: 'nuclear-glow',
  title: 'Glow of nuclei',
  expected: 'bright, even',
  grades: ['none', 'faint', 'clear', 'bright'],
  least: 2,
  source: 'local procedure',
};
const SPECKS = { code: 'specks', title: 'Specks', expected: 'none', grades: null, least: null, source: 'SOP-12' };
const GRADED = [
  { criterion: 'nuclear-glow', grade: 3 },
  { criterion: 'specks', grade: 'pass' },
];

describeOnEachDatabase('A plan’s own criteria and controls', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let director: Client;
  let bench: Bench;

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    director = await test.as('director', 'manager');
    bench = new Bench(test, technician, furnished);
  });

  const read = (runId: string, control: string, data: object) =>
    bench.event(runId, 'control-read', { control, observed: 'as expected', passed: true, ...data });
  const refusal = async (runId: string, control: string, data: object): Promise<[number, string | undefined]> => {
    const { status, body } = await read(runId, control, data);
    return [status, (body as unknown as Refused).problems?.[0]?.at];
  };
  const viewOf = async (runId: string): Promise<RunViewDto> =>
    (await technician.get<RunViewDto>(`/api/runs/${runId}`)).body;
  const stops = async (runId: string): Promise<string[]> =>
    (await technician.get<JudgementDto>(`/api/runs/${runId}/judgement`)).body.subjects[0]!.points[0]!.findings.filter(
      ({ weight, rule }) => weight === 'stop' && rule.startsWith('control-'),
    ).map(({ id }) => id);
  const approve = async (change: (controls: PlannedControl[]) => void): Promise<PlanDto> => {
    const { body } = await director.get<PlanDto>('/api/control-plans/ao-fresh');
    const controls = structuredClone(body.counting.controls) as PlannedControl[];
    change(controls);
    const draft = { use: body.counting.use, controls, note: 'ours' };
    const drafted = await director.post<PlanDto & Refused>('/api/control-plans/ao-fresh', draft);
    if (drafted.status !== 201) throw new Error(drafted.body.detail);
    const approval = { effectiveFrom: '2026-11-25', reason: 'gone through', password: PASSWORD };
    const path = `/api/control-plans/ao-fresh/${drafted.body.versions[0]!.number}/approve`;
    const approved = await director.post<PlanDto>(path, approval);
    expect(approved.status).toBe(200);
    test.clock.forward(1000);
    return approved.body;
  };

  it('read a control that its plan writes nothing for by the usual criteria, and by no others', async () => {
    const run = await bench.start();
    expect((await viewOf(run)).controls.map(({ id, criteria }) => [id, criteria])).toEqual(
      furnished.protocol.controls.map(({ id }) => [id, []]),
    );
    const positive = furnished.controls['positive']!;
    expect(await refusal(run, positive, { criteria: [{ criterion: 'specks', grade: 'pass' }] })).toEqual([
      422,
      'data.criteria.0.criterion',
    ]);
    expect((await read(run, positive, { criteria: [{ criterion: 'background', grade: 3 }] })).status).toBe(201);
  });

  it('refuse a reading that lacks one of the plan’s, knows another or contradicts them, and keep one that does not', async () => {
    const before = await bench.start();
    test.clock.forward(1000);
    const { category } = await approve((controls) => {
      Object.assign(
        controls.find(({ id }) => id === 'positive')!,
        { criteria: [NUCLEI, SPECKS], secondReader: true },
      );
      controls.push({
        ...controls.find(({ id }) => id === 'positive')!,
        id: 'own-tonsil',
        material: 'tonsil of our own',
        expected: 'germinal centres bright',
        criteria: [SPECKS],
        secondReader: false,
        clocks: [{ when: 'each use', clause: 'SOP-12' }],
      } as unknown as PlannedControl);
    });
    expect(category).toBe('fluorescent');
    const positive = furnished.controls['positive']!;
    // A run is read by the plan under which it started.
    expect((await read(before, positive, {})).status).toBe(201);

    const run = await bench.start();
    expect((await viewOf(run)).controls.find(({ id }) => id === 'positive')?.criteria).toEqual([NUCLEI, SPECKS]);
    expect(await refusal(run, positive, {})).toEqual([422, 'data.criteria']);
    expect(await refusal(run, positive, { criteria: [GRADED[0]] })).toEqual([422, 'data.criteria']);
    const more = [...GRADED, { criterion: 'background', grade: 3 }];
    expect(await refusal(run, positive, { criteria: more })).toEqual([422, 'data.criteria.2.criterion']);
    const faint = [{ criterion: 'nuclear-glow', grade: 1 }, GRADED[1]];
    expect(await refusal(run, positive, { criteria: faint })).toEqual([422, 'data.passed']);
    expect(await refusal(run, positive, { criteria: [{ ...GRADED[0]!, grade: 'pass' }, GRADED[1]] })).toEqual([
      422,
      'data.criteria.0.grade',
    ]);
    expect(await refusal(run, positive, { passed: false, observed: 'dim' })).toEqual([422, 'data.criteria']);
    expect((await read(run, positive, { criteria: GRADED })).status).toBe(201);
    const { items } = (await technician.get<ControlResultListDto>(`/api/control-results?run=${run}`)).body;
    expect(items).toMatchObject([{ requirement: 'positive', passed: true, readings: [{ criteria: GRADED }] }]);
    // The laboratory's own control is required, and is not in this run.
    expect(await stops(run)).toEqual(
      expect.arrayContaining([`control-second-reader:${positive}`, expect.stringContaining('own-tonsil')]),
    );
  });

  it('take the laboratory’s own control in a run as what the plan asks for, with its numbers', async () => {
    const own = (
      await technician.post<{ id: string }>('/api/subjects', {
        kind: 'control',
        description: 'tonsil of our own',
        irreplaceable: false,
      })
    ).body.id;
    const run = await bench.start([
      { subjectId: furnished.core, role: 'patient' },
      { subjectId: own, role: 'control', control: 'own-tonsil' },
    ]);
    const about = async () => (await stops(run)).filter((id) => id.includes(own) || id.includes('own-tonsil'));
    expect(await about()).toEqual([`control-unread:${own}`]);
    expect((await read(run, own, { criteria: [{ criterion: 'specks', grade: 'pass' }] })).status).toBe(201);
    expect(await about()).toEqual([]);
    const { items } = (await technician.get<ControlResultListDto>(`/api/control-results?run=${run}`)).body;
    expect(items[0]).toMatchObject({ requirement: 'own-tonsil', expected: 'germinal centres bright' });

    const series = { title: 'Own', unit: '{ratio}', levels: ['slide'], protocolId: 'ao-fresh', rules: [] };
    const add = (code: string, requirement: string) =>
      director.post<Refused & { levels: { id: string }[] }>('/api/control-series', { ...series, code, requirement });
    expect((await add('nobodys', 'no-such-control')).body.code).toBe('no-such-control');
    const { status, body } = await add('own-tonsil-glow', 'own-tonsil');
    expect(status).toBe(201);
    await bench.must(run, 'tray-scanned', {
      reagent: 'acridine-orange-working',
      container: furnished.containers['acridine-orange-working'],
    });
    const values = { values: [{ level: 'slide', value: 8.5 }], runId: run };
    const added = await technician.post(`/api/control-series/${body.levels[0]!.id}/values`, values);
    expect(added).toMatchObject({ status: 201, body: { values: [{ value: 8.5, verdict: null }] } });
    const { batches } = (
      await technician.get<{ batches: { values: { lots: object | null }[] }[] }>(
        `/api/control-series/${body.levels[0]!.id}/evaluation`,
      )
    ).body;
    expect(Object.keys(batches[0]!.values[0]!.lots ?? {})).toEqual(['acridine-orange-working']);
  });
});
