import { beforeEach, expect, it } from '@jest/globals';
import type { FailureListDto } from '../../src/contract/control-results.dto.js';
import type {
  DeviationListDto,
  DeviationPersonDto,
  DeviationStoryDto,
  DeviationSubjectDto,
  DeviationSupportDto,
  DeviationTrendsDto,
} from '../../src/contract/deviations.dto.js';
import type { InstrumentDto } from '../../src/contract/instruments.dto.js';
import type { LookbackListDto } from '../../src/contract/recalls.dto.js';
import { calendarEntries, mattersNow } from '../../src/store/questions/matters.js';
import { ExcursionRow } from '../../src/store/rows/places.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  deviationId?: string;
}
type Story = DeviationStoryDto & Refused;

/** Times that are shown are of the laboratory's zone, an hour behind UTC in winter. */
const WHEN = { zone: 'Atlantic/Azores' };

describeOnEachDatabase('Deviations', (fresh) => {
  onProgram(fresh, { each: true });

  let furnished: Furnished;
  let technician: Client;
  let manager: Client;
  let releaser: Client;
  let ids: Record<'tansy' | 'marl' | 'corvin', string>;
  let stations = 0;

  beforeEach(async () => {
    furnished = await furnish(test);
    ids = {
      tansy: await test.createPerson('tansy', ['technician']),
      marl: await test.createPerson('marl', ['manager']),
      corvin: await test.createPerson('corvin', ['releaser']),
    };
    await signIn();
  });

  /** Sessions end while a story goes on for weeks. */
  const signIn = async (): Promise<void> => {
    [technician, manager, releaser] = [
      await test.signIn('tansy'),
      await test.signIn('marl'),
      await test.signIn('corvin'),
    ];
  };
  const later = async (to: string): Promise<void> => {
    test.clock.set(to);
    await signIn();
  };
  /** A run in which the dye stayed too long, or not. */
  const run = async (dyedFor: number, failing: string[] = []): Promise<string> => {
    stations += 1;
    const bench = new Bench(test, technician, furnished, `station-${stations}`);
    const id = await bench.start();
    await bench.play(id, { dye: dyedFor }, failing);
    return id;
  };
  const form = (changes: object = {}): object => ({
    subject: 'described',
    title: 'Labels fell off',
    what: 'Two slides lost their labels in xylene.',
    effect: 'result late or repeated',
    ...changes,
  });
  const fromFinding = (runId: string, changes: object = {}): object =>
    form({ subject: 'finding', subjectId: runId, findingId: 'step-long:dye', title: 'Dyed too long', ...changes });
  const open = (body: object, by = technician, key?: string) =>
    by.post<Story>('/api/deviations', body, key === undefined ? {} : { headers: { 'idempotency-key': key } });
  const act = (id: string, kind: string, body: object, by = manager) =>
    by.post<Story>(`/api/deviations/${id}/acts`, { kind, ...body });
  const close = (id: string, ended: string, by = manager, password = PASSWORD) =>
    by.post<Story>(`/api/deviations/${id}/close`, { ended, reason: 'Gone through at the meeting.', password });
  const list = async (query = ''): Promise<DeviationListDto> =>
    (await technician.get<DeviationListDto>(`/api/deviations${query}`)).body;
  const numbers = async (query: string): Promise<number[]> => (await list(query)).items.map(({ number }) => number);

  it('go from a finding to a signed end, and begin anew when it comes back', async () => {
    const runId = await run(3_000);
    expect((await open(fromFinding(runId, { findingId: 'step-long:rinse' }))).body.code).toBe('no-finding');
    const wanted = fromFinding(runId, { correction: 'Rinsed twice and imaged again.' });
    const { status, body: opened } = await open(wanted, technician, 'once');
    expect([status, opened.number, opened.state, opened.step, opened.finding?.rule]).toEqual([
      201,
      1,
      'opened',
      'dye',
      'step-long',
    ]);
    expect(opened).toMatchObject({ runId, protocolId: 'ao-fresh', path: `/release/${runId}`, ownerId: null, due: [] });
    expect(opened.acts.map(({ kind, text }) => [kind, text])).toEqual([
      ['correction', 'Rinsed twice and imaged again.'],
    ]);
    const { id } = opened;
    expect((await open(wanted, technician, 'once')).body.id).toBe(id);
    // The same finding is followed up once.
    expect((await open(fromFinding(runId), manager)).body).toMatchObject({ code: 'deviation-known', deviationId: id });
    const about = `/api/deviations/subject?subject=finding&subjectId=${runId}&findingId=step-long:dye`;
    expect((await technician.get<DeviationSubjectDto>(about)).body.known.map(({ number }) => number)).toEqual([1]);

    expect((await act(id, 'assigned', { ownerId: ids.marl, dueDay: '2026-11-27' })).body.owner).toBe('Invented marl');
    const action = { text: 'Hang the timer beside the dish.', ownerId: ids.tansy, dueDay: '2026-12-01' };
    expect((await act(id, 'action', action)).body.code).toBe('cause-first');
    await act(id, 'cause', { causeKind: 'environment', text: 'The timer hangs behind the hood.' });
    const { body: planned } = await act(id, 'action', action);
    expect([planned.state, planned.actions]).toEqual([
      'action under way',
      // The day ends at midnight on the Azores.
      [expect.objectContaining({ owner: 'Invented tansy', due: '2026-12-02T01:00:00.000Z', doneAt: null })],
    ]);
    expect((await close(id, 'effective')).body.code).toBe('not-to-be-closed');
    expect((await close(id, 'no action needed')).body.code).toBe('not-to-be-closed');

    await later('2026-12-02T01:00:00.000Z');
    expect((await list('?overdue=true')).items).toMatchObject([{ number: 1, overdue: true }]);
    const [{ id: actionId } = { id: '' }] = planned.actions;
    await act(id, 'done', { actionId, text: 'Hung there.' }, technician);
    const check = { text: 'No dye step too long in 20 runs.', notBeforeDay: '2026-12-15', dueDay: '2026-12-20' };
    expect((await act(id, 'check planned', { ...check, ownerId: ids.tansy })).body.code).toBe('own-check');
    const { body: waiting } = await act(id, 'check planned', { ...check, ownerId: ids.corvin });
    expect([waiting.state, waiting.check?.notBefore]).toEqual(['to be checked', '2026-12-15T01:00:00.000Z']);
    const checked = { effective: true, text: 'None in 24 runs.' };
    expect((await act(id, 'checked', checked, releaser)).body.code).toBe('check-early');
    await later('2026-12-15T01:00:00.000Z');
    expect((await act(id, 'checked', checked, technician)).body.code).toBe('own-check');
    expect((await act(id, 'checked', checked, releaser)).body.state).toBe('effective');

    expect((await close(id, 'effective', manager, 'not mine at all')).status).toBe(403);
    expect((await close(id, 'effective', releaser)).status).toBe(403);
    const { body: closed } = await close(id, 'effective');
    expect([closed.state, closed.ended, closed.acts.at(-1)?.signature?.name]).toEqual([
      'closed',
      'effective',
      'Invented marl',
    ]);
    expect((await act(id, 'correction', { text: 'x' })).body.code).toBe('deviation-closed');
    expect([await numbers('?state=closed'), await numbers('')]).toEqual([[1], []]);

    const again = { reason: 'Again, at the second bench.' };
    const { body: reopened } = await technician.post<Story>(`/api/deviations/${id}/reopen`, again);
    expect([reopened.state, reopened.actions, reopened.acts.length]).toEqual(['opened', [], 9]);
    expect((await technician.post<Story>(`/api/deviations/${id}/reopen`, again)).body.code).toBe('deviation-open');
    expect((await close(id, 'no action needed')).body.ended).toBe('no action needed');
  });

  it('are told of before they are due, stand in the calendar, and are found by whom and what they concern', async () => {
    const first = (await open(form())).body.id;
    const second = (await open(form({ title: 'Timer dropped' }))).body.id;
    await act(first, 'assigned', { ownerId: ids.corvin, dueDay: '2026-12-20' });
    await act(second, 'assigned', { ownerId: ids.marl, dueDay: '2026-12-10' });
    const read = async () => {
      const when = { ...WHEN, now: test.clock.now() };
      const matters = await test.store.read(LABORATORY, (view) => mattersNow(view, when));
      return matters.filter(({ kind }) => kind === 'deviation due').map(({ text, path }) => [text, path]);
    };
    expect(await read()).toEqual([]);
    test.clock.set('2026-12-05T12:00:00.000Z');
    expect(await read()).toEqual([
      [
        expect.stringMatching(/^Deviation 2, Timer dropped: the inquiry of Invented marl has to be/),
        `/deviations/${second}`,
      ],
    ]);
    const entries = await test.store.read(LABORATORY, (view) =>
      calendarEntries(view, { ...WHEN, now: test.clock.now() }),
    );
    expect(entries.filter(({ key }) => key.startsWith('deviation:')).map(({ day, title }) => [day, title])).toEqual([
      ['2026-12-20', 'Deviation 1: inquiry, Invented corvin'],
      ['2026-12-10', 'Deviation 2: inquiry, Invented marl'],
    ]);
    await later('2026-12-11T01:00:00.000Z');
    // What is due first stands first.
    expect(await list()).toMatchObject({ open: 2, overdue: 1, items: [{ number: 2 }, { number: 1 }] });
    expect(await numbers(`?owner=${ids.corvin}`)).toEqual([1]);
    expect(await numbers('?overdue=true')).toEqual([2]);
    expect(await numbers('?state=cause%20found')).toEqual([]);
    expect(await numbers('?subject=finding')).toEqual([]);
    const page = await list('?take=1');
    expect([page.items[0]?.number, await numbers(`?take=1&after=${page.next}`)]).toEqual([2, [1]]);
    expect((await technician.get<Refused>('/api/deviations?state=closed&overdue=true')).body.code).toBe('nothing-due');
    await close(first, 'no action needed');
    await close(second, 'no action needed');
    const closed = await list('?state=closed&take=1');
    expect([closed.items[0]?.number, await numbers(`?state=closed&take=1&after=${closed.next}`)]).toEqual([2, [1]]);
  });

  it('are opened from a failed control, a lookback, an instrument and an excursion, each with its page', async () => {
    const runId = await run(20, ['negative']);
    const [failure] = (await technician.get<FailureListDto>('/api/control-failures')).body.items;
    const [lookback] = (await technician.get<LookbackListDto>('/api/lookbacks')).body.items;
    const instrument = { code: 'TI-9', name: 'Timer', kind: 'timer', calibrated: false, station: 'Ultrasound 1' };
    const { body: timer } = await manager.post<InstrumentDto>('/api/instruments', instrument);
    await manager.post('/api/places', { code: 'COLD', name: 'Cold cupboard', dark: false, max: 8 });
    await technician.post('/api/places/COLD/temperatures', { value: 12, unit: 'Cel' });
    const [excursion] = await test.store.read(LABORATORY, (view) => view.all(ExcursionRow));
    const opened = async (subject: string, subjectId?: string) => {
      const { body } = await open(form({ subject, subjectId }));
      return [body.about, body.path, body.runId];
    };
    expect(await opened('control failure', failure?.id)).toEqual([
      'The control negative of ao-fresh did not pass: nuclear pattern.',
      `/controls/failures/${failure?.id}`,
      runId,
    ]);
    expect(await opened('lookback', lookback?.id)).toEqual([
      expect.stringMatching(/^Lookback, control failed/),
      `/lookbacks/${lookback?.id}`,
      null,
    ]);
    expect(await opened('instrument', timer.id)).toEqual(['Timer (TI-9).', '/controls/instruments', null]);
    expect(await opened('excursion', excursion?.id)).toEqual([
      expect.stringMatching(/^Cold cupboard was outside/),
      '/stock/places/COLD',
      null,
    ]);
    expect((await open(form({ runId }))).body).toMatchObject({ runId, protocolId: 'ao-fresh', about: null });

    const refused = async (changes: object, by = technician) => {
      const { status, body } = await open(form(changes), by);
      return [status, body.code];
    };
    expect(await refused({ subject: 'order', subjectId: 'made-up' })).toEqual([404, 'not-found']);
    expect(await refused({ subject: 'order' })).toEqual([422, 'bad-subject']);
    expect(await refused({ subjectId: runId })).toEqual([422, 'bad-subject']);
    expect(await refused({ subject: 'instrument', subjectId: timer.id, runId })).toEqual([422, 'bad-subject']);
    expect(await refused({ effect: 'grave' })).toEqual([422, 'invalid-input']);
    expect(await refused({}, await test.as('reviewer'))).toEqual([403, 'role-needed']);
    const { body } = await open(form({ title: 'Last one' }));
    const reviewerId = await test.createPerson('quennel', ['reviewer']);
    const { body: people } = await technician.get<DeviationPersonDto[]>('/api/deviations/people');
    expect(people.map(({ id: personId }) => personId)).toEqual([ids.corvin, ids.marl, ids.tansy]);
    const given = await act(body.id, 'assigned', { ownerId: reviewerId, dueDay: '2026-12-10' });
    expect([given.status, given.body.code]).toEqual([422, 'unknown-owner']);
    const past = await act(body.id, 'assigned', { ownerId: ids.marl, dueDay: '2026-11-24' });
    expect([past.status, past.body.code]).toEqual([422, 'deviation-act-incomplete']);
  });

  it('are counted with their denominators, as the process first', async () => {
    const [long, other] = [await run(3_000), await run(3_000)];
    await run(20);
    for (const runId of [long, other]) expect((await open(fromFinding(runId))).status).toBe(201);
    const { id } = (await open(form({ runId: long }))).body;
    await act(id, 'cause', { causeKind: 'material', text: 'A new kind of label.' });
    await act(id, 'effect', { effect: 'no result affected', text: 'Both were known by their place.' });
    await open(form({ title: 'Tied to no run' }));
    const { body } = await releaser.get<DeviationTrendsDto>('/api/deviations/trends');
    expect(body).toMatchObject({ from: '2025-12-01', to: '2026-11-25', runs: 3, deviations: 3, withoutRun: 1 });
    expect([body.months.length, body.months.at(-1)]).toEqual([12, '2026-11']);
    expect(body.perRun?.centre).toBe(1);
    expect(body.perRun?.points.at(-1)).toMatchObject({ count: 3, size: 3, value: 1, beyond: false, sparse: true });
    expect(body.runsWith?.points.at(-1)).toMatchObject({ count: 2, size: 3 });
    expect(body.runsWith?.points[0]).toMatchObject({ count: 0, size: 0, value: null });
    const told = (groups: DeviationTrendsDto['byRule']) =>
      groups.map(({ key, deviations, runs }) => [key, deviations, runs]);
    expect(told(body.byProtocol)).toEqual([['ao-fresh', 3, 3]]);
    expect(told(body.byStep)).toEqual([['ao-fresh:dye', 2, 3]]);
    expect(told(body.byRule)).toEqual([['step-long', 2, 3]]);
    expect(told(body.byCause)).toEqual([['material', 1, null]]);
    expect(told(body.byEffect)).toEqual([
      ['result late or repeated', 3, null],
      ['no result affected', 1, null],
    ]);
    const dye = body.byLot.find(({ name }) => name.includes('QUILL-acridine-orange-working'));
    expect([dye?.deviations, dye?.runs]).toEqual([3, 3]);

    const support = await manager.get<DeviationSupportDto>('/api/deviations/support');
    // One person did all runs, so that nobody stands out of the process.
    expect(support.body).toMatchObject({ people: 1, support: [], purpose: expect.stringContaining('judges nobody') });
    expect(told(support.body.byAssessor)).toEqual([[ids.tansy, 3, 3]]);
    expect((await technician.get('/api/deviations/support')).status).toBe(403);
    expect((await technician.get<Refused>('/api/deviations/trends?from=2026-11-26&to=2026-11-25')).body.code).toBe(
      'wrong-period',
    );
    expect((await technician.get<Refused>('/api/deviations/trends?from=2020-01-01')).body.code).toBe('wrong-period');
    const before = await technician.get<DeviationTrendsDto>('/api/deviations/trends?from=2026-10-31&to=2026-11-24');
    expect(before.body).toMatchObject({ months: ['2026-10', '2026-11'], runs: 0, perRun: null, byLot: [] });
  });
});
