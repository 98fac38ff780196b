import { beforeAll, expect, it } from '@jest/globals';
import type {
  ControlTasksDto,
  DaysWithoutDto,
  LaboratoryCalendarDto,
  PlanDto,
  PlanSummaryDto,
} from '../../src/contract/control-plans.dto.js';
import type { PlannedControl } from '../../src/core/controls/planned.js';
import { type Client, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface Problem {
  code: string;
  detail: string;
  problems: { at: string; message: string }[];
}

const OPEN = { open: { from: '08:00', to: '18:00' } };

describeOnEachDatabase('Control plans', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let director: Client;
  let bench: Bench;
  /** The plan as a draft would send it. */
  let published: { use: PlanDto['published']['use']; controls: PlannedControl[]; note: string };

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    director = await test.as('director', 'manager');
    bench = new Bench(test, technician, furnished);
    const { body } = await technician.get<PlanDto>('/api/control-plans/ao-fresh');
    published = { use: body.published.use, controls: body.published.controls, note: 'ours' };
  });

  /** A session does not outlast a night. */
  const nextMorning = async (day: string): Promise<void> => {
    test.clock.set(`${day}T09:00:00.000Z`);
    technician = await test.signIn('technician-1');
    director = await test.signIn('director-2');
    bench = new Bench(test, technician, furnished, `station-${day}`);
  };

  const changed = (change: (plan: typeof published) => void): typeof published => {
    const plan = structuredClone(published);
    change(plan);
    return plan;
  };
  const tasks = async (query = ''): Promise<ControlTasksDto['tasks']> =>
    (await technician.get<ControlTasksDto>(`/api/control-tasks${query}`)).body.tasks;

  it('start as the published rules ask, each clock with its clause', async () => {
    const { body } = await technician.get<PlanSummaryDto[]>('/api/control-plans');
    const own = body.find(({ protocolId }) => protocolId === 'ao-fresh');
    expect(own).toMatchObject({ inUse: true, ownPlan: null, waiting: null });
    expect(own?.controls.find(({ id }) => id === 'negative')?.clocks[0]).toEqual({
      when: 'each use',
      clause: '42 CFR 493.1256(e)(3) and 493.1273(a)',
    });
  });

  it('are refused when laxer, with the clause and its place, and nothing is kept', async () => {
    const lax = changed(({ controls }) => controls[0]!.clocks.splice(0, 1));
    const refused = await director.post<Problem>('/api/control-plans/ao-fresh', lax);
    expect(refused.status).toBe(422);
    expect(refused.body).toMatchObject({ code: 'faulty-plan', problems: [{ at: 'controls.0.clocks' }] });
    expect(refused.body.detail).toContain('42 CFR 493.1256(e)(3) and 493.1273(a); a plan may be stricter, never laxer');
    expect((await director.get<PlanDto>('/api/control-plans/ao-fresh')).body.versions).toEqual([]);
  });

  it('are refused for a protocol that is not here, and to a technician', async () => {
    expect((await director.post('/api/control-plans/no-such', published)).status).toBe(404);
    expect((await technician.post('/api/control-plans/ao-fresh', published)).status).toBe(403);
  });

  it('count once the director signed them, from their first day on', async () => {
    const stricter = changed(({ controls }) => {
      controls[0]!.secondReader = true;
      controls[0]!.clocks.push({ when: 'every n slides', n: 40, clause: 'SOP-12' });
    });
    const drafted = await director.post<PlanDto>('/api/control-plans/ao-fresh', stricter, {
      headers: { 'idempotency-key': 'plan-1' },
    });
    expect(drafted.status).toBe(201);
    expect(drafted.body.versions).toMatchObject([{ number: 1, inForce: false, effectiveFrom: null }]);
    const again = await director.post<PlanDto>('/api/control-plans/ao-fresh', stricter, {
      headers: { 'idempotency-key': 'plan-1' },
    });
    expect(again.body.versions).toHaveLength(1);
    expect((await director.post<Problem>('/api/control-plans/ao-fresh', stricter)).body.code).toBe('unchanged');

    const approval = { effectiveFrom: '2026-11-26', reason: 'after the audit', password: PASSWORD };
    const path = '/api/control-plans/ao-fresh/1/approve';
    expect((await director.post(path, { ...approval, password: 'no such word at all' })).status).toBe(403);
    expect((await technician.post(path, approval)).status).toBe(403);
    expect((await director.post(path, { ...approval, effectiveFrom: '2026-11-24' })).status).toBe(422);
    const approved = await director.post<PlanDto>(path, approval);
    expect(approved.body.versions).toMatchObject([
      { number: 1, inForce: false, effectiveFrom: '2026-11-26T01:00:00.000Z', reason: 'after the audit' },
    ]);
    expect(approved.body.counting.controls[0]!.secondReader).toBe(false);
    expect((await director.post<Problem>(path, approval)).body.code).toBe('approved-already');
    await nextMorning('2026-11-26');
    const next = await director.get<PlanDto>('/api/control-plans/ao-fresh');
    expect(next.body.versions[0]).toMatchObject({ inForce: true });
    expect(next.body.counting.controls[0]!.secondReader).toBe(true);
  });

  it('hold a run that started under them', async () => {
    const run = await bench.start();
    await bench.play(run);
    const { body } = await technician.get<{ subjects: { points: { findings: { rule: string }[] }[] }[] }>(
      `/api/runs/${run}/judgement`,
    );
    const rules = body.subjects[0]!.points[0]!.findings.map(({ rule }) => rule);
    expect(rules).toContain('control-second-reader');
    expect(rules.filter((rule) => rule.startsWith('control-'))).toEqual(['control-second-reader']);
  });

  it('let a control of the laboratory’s own into a run', async () => {
    const own = { ...published.controls[0]!, id: 'own-tonsil', required: false };
    const plan = changed(({ controls }) => controls.push(own));
    expect((await director.post('/api/control-plans/ao-fresh', plan)).status).toBe(201);
    const subjects = [{ subjectId: Object.values(furnished.controls)[0]!, role: 'control', control: 'own-tonsil' }];
    const start = () =>
      technician.post<Problem>('/api/runs', {
        revisionId: furnished.revisionId,
        station: 'Ultrasound 1',
        purpose: 'acceptance',
        subjects,
      });
    expect((await start()).status).toBe(422);
    const approval = { effectiveFrom: '2026-11-26', reason: 'tonsil too', password: PASSWORD };
    expect((await director.post('/api/control-plans/ao-fresh/2/approve', approval)).status).toBe(200);
    expect((await start()).status).toBe(201);
  });

  it('make today’s tasks from facts: the run’s own controls answer its use', async () => {
    const [use] = (await tasks()).filter(
      ({ clock, requirement }) => clock === 'each use' && requirement === 'negative',
    );
    expect(use).toMatchObject({ state: 'answered', station: 'Ultrasound 1', protocolId: 'ao-fresh', kind: 'negative' });
    expect(use!.answeredBy).not.toBeNull();
    const lot = (await tasks('?day=2026-11-25')).find(({ clock }) => clock === 'each new lot or shipment');
    expect(lot).toMatchObject({
      state: 'answered',
      aboutWords: 'lot QUILL-acridine-orange-working of Acridine orange working solution, 0.6 mmol/L',
    });
  });

  it('tell a use without a control as due, then overdue, then missed, and the day in the reviewer’s calendar', async () => {
    const { controls } = furnished;
    furnished.controls = {};
    const run = await bench.start();
    furnished.controls = controls;
    await bench.must(run, 'identity-confirmed', { subject: furnished.core });
    const own = async () =>
      (await tasks('?station=Ultrasound%201')).find(
        ({ about, requirement }) => about === run && requirement === 'positive',
      );
    expect(await own()).toMatchObject({ state: 'due', uncovered: [run], unread: [] });
    test.clock.forward(30 * 60_000 + 1);
    expect(await own()).toMatchObject({ state: 'overdue' });
    expect((await tasks('?state=overdue')).every(({ state }) => state === 'overdue')).toBe(true);
    expect(await tasks('?station=elsewhere')).not.toContainEqual(expect.objectContaining({ about: run }));
    await nextMorning('2026-11-27');
    const [missed] = (await tasks('?day=2026-11-26')).filter(({ about }) => about === run);
    expect(missed).toMatchObject({ state: 'missed' });

    const path = '/api/control-days-without?from=2026-11-20&to=2026-11-27';
    const { body } = await director.get<DaysWithoutDto>(path);
    expect(body.protocols).toMatchObject([
      {
        protocolId: 'ao-fresh',
        daysOfUse: 1,
        daysWithout: 1,
        uses: 2,
        usesWithout: 1,
        days: [{ day: '2026-11-26', uses: 2, without: 1, waiting: 0 }],
      },
    ]);
    expect(body.protocols[0]!.days[0]!.missing).toContain('positive: each use');
  });

  it('refuse periods and days that are none', async () => {
    const status = async (query: string) => (await technician.get(`/api/control-days-without?${query}`)).status;
    expect(await status('from=2026-11-27&to=2026-11-20')).toBe(422);
    expect(await status('from=2025-11-27&to=2026-11-20')).toBe(422);
    expect(await status('from=2026-02-30&to=2026-03-01')).toBe(422);
    expect((await technician.get('/api/control-tasks?day=today')).status).toBe(422);
    expect((await technician.get('/api/control-tasks?state=late')).status).toBe(422);
  });

  it('look at the laboratory’s calendar, whose latest version counts', async () => {
    const week: LaboratoryCalendarDto = {
      weekdays: [OPEN, OPEN, OPEN, OPEN, OPEN, {}, {}],
      holidays: [{ day: '2026-11-26', name: 'Tide day' }],
    };
    expect((await technician.post('/api/laboratory-calendar', week)).status).toBe(403);
    const faulty = { ...week, weekdays: [{ open: { from: '18:00', to: '08:00' } }, ...week.weekdays.slice(1)] };
    const refused = await director.post<Problem>('/api/laboratory-calendar', faulty);
    expect(refused.body).toMatchObject({ code: 'faulty-calendar', problems: [{ at: 'weekdays.0' }] });
    expect((await director.post('/api/laboratory-calendar', week)).body).toEqual(week);
    expect((await technician.get('/api/laboratory-calendar')).body).toEqual(week);
    const { body } = await technician.get<DaysWithoutDto>('/api/control-days-without?from=2026-11-20&to=2026-11-27');
    expect(body.closed).toEqual(['2026-11-21', '2026-11-22', '2026-11-26']);
  });
});
