import { beforeEach, expect, it } from '@jest/globals';
import type { CompetenceListDto } from '../../src/contract/competence.dto.js';
import type { InstrumentDto } from '../../src/contract/instruments.dto.js';
import type { RoundDto } from '../../src/contract/external-assessment.dto.js';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import { ASSESSMENT_ELEMENTS } from '../../src/core/competence/competence.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { calendarEntries, mattersNow } from '../../src/store/questions/matters.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  detail: string;
}

describeOnEachDatabase('People and instruments', (fresh) => {
  onProgram(fresh, { each: true });

  let director: Client;
  let technician: Client;
  let technicianId: string;
  let furnished: Furnished;
  let stations = 0;

  beforeEach(async () => {
    furnished = await furnish(test);
    technicianId = await test.createPerson('tansy', ['technician']);
    technician = await test.signIn('tansy');
    director = await test.as('director');
  });

  const decide = (changes: object = {}, person = technicianId, client = director) =>
    client.post<Refused>(`/api/people/${person}/competence`, {
      protocolId: 'ao-fresh',
      decision: 'competent',
      elements: ASSESSMENT_ELEMENTS.map((element) => ({ element, evidence: 'seen' })),
      reason: 'Watched at two runs.',
      password: PASSWORD,
      ...changes,
    });
  const standing = async (): Promise<[string, string | null]> => {
    const { items } = (await technician.get<CompetenceListDto>('/api/competence')).body;
    const own = items.find(({ personId }) => personId === technicianId);
    return [own?.standing ?? '', own?.until ?? null];
  };
  /** Does a run without `furnish`'s own assessment of everybody. */
  const run = async (): Promise<string> => {
    stations += 1;
    const bench = new Bench(test, technician, furnished, `station-${stations}`);
    const id = await bench.startUnassessed();
    await bench.play(id);
    return id;
  };
  const rules = async (runId: string): Promise<string[]> => {
    const { subjects } = (await technician.get<JudgementDto>(`/api/runs/${runId}/judgement`)).body;
    return subjects[0]?.points[0]?.findings.map(({ rule }) => rule) ?? [];
  };

  it('holds the run of somebody who was not assessed, and of one whose assessment ended', async () => {
    expect(await rules(await run())).toEqual(['not-competent']);
    expect((await decide()).status).toBe(204);
    // Half a year in the first year of work on patients' specimens: 42 CFR 493.1413(b)(9).
    expect(await standing()).toEqual(['competent', '2027-05-26T00:00:00.000Z']);
    expect(await rules(await run())).toEqual([]);
  });

  it('lets a trainee work under a named supervisor who is competent', async () => {
    const supervisorId = await test.createPerson('marl', ['technician']);
    await decide({ decision: 'in training', elements: [] });
    const runId = await run();
    expect(await rules(runId)).toEqual(['trainee-unsupervised']);
    const bench = new Bench(test, technician, furnished, 'supervisor-desk');
    const own = await bench.event(runId, 'supervised', { supervisor: technicianId });
    expect([own.status, (own.body as unknown as Refused).code]).toEqual([422, 'own-supervisor']);
    await bench.must(runId, 'supervised', { supervisor: supervisorId });
    expect(await rules(runId)).toEqual(['trainee-unsupervised']);
    // The judgement is by the instant of the work: the supervisor was assessed only after it.
    await decide({}, supervisorId);
    expect(await rules(runId)).toEqual(['trainee-unsupervised']);
    test.clock.forward(60_000);
    const second = await run();
    await bench.must(second, 'supervised', { supervisor: supervisorId });
    expect(await rules(second)).toEqual([]);
  });

  it('refuses an assessment of oneself, one that is not whole, too long, without the password', async () => {
    const { body: own } = await director.get<{ person: { id: string } }>('/api/session');
    expect((await decide({}, own.person.id)).body.code).toBe('own-competence');
    expect((await decide({ elements: [] })).body.code).toBe('assessment-incomplete');
    expect((await decide({ lastDay: '2027-05-27' })).body.code).toBe('wrong-day');
    expect((await decide({ lastDay: '2026-11-24' })).body.code).toBe('wrong-day');
    expect((await decide({ protocolId: 'he-harris-regressive' })).body.code).toBe('not-in-force');
    expect((await decide({ password: 'not mine at all' })).status).toBe(403);
    expect((await decide({}, technicianId, technician)).status).toBe(403);
    expect(await standing()).toEqual(['not competent', null]);
  });

  it('signs what lets somebody work as an approval, and what stops them on the signer’s responsibility', async () => {
    const taught = await test.createPerson('wren', ['technician']);
    for (const decision of ['in training', 'competent', 'not competent', 'withdrawn']) {
      test.clock.forward(60_000);
      expect((await decide({ decision, ...(decision !== 'competent' && { elements: [] }) }, taught)).status).toBe(204);
    }
    const { items } = (await director.get<CompetenceListDto>('/api/competence')).body;
    const acts = items.find(({ personId }) => personId === taught)?.acts;
    expect(new Set(acts?.map(({ decision, signature }) => `${decision}: ${signature.meaning}`))).toEqual(
      new Set([
        'in training: approval',
        'competent: approval',
        'not competent: responsibility',
        'withdrawn: responsibility',
      ]),
    );
  });

  it('holds runs at a bench whose instrument is out of calibration, from the facts of that day', async () => {
    await decide();
    const { body: thermometer } = await director.post<InstrumentDto>('/api/instruments', {
      code: 'TH-04',
      name: 'Bath thermometer',
      kind: 'thermometer',
      calibrated: true,
      station: 'Ultrasound 1',
    });
    expect(thermometer.faults).toEqual([{ fault: 'uncalibrated', since: null }]);
    const early = await run();
    expect(await rules(early)).toEqual(['instrument-unfit']);
    const act = (body: object) =>
      technician.post<InstrumentDto & Refused>(`/api/instruments/${thermometer.id}/acts`, { note: 'checked', ...body });
    expect((await act({ kind: 'calibrated', passed: true })).body.code).toBe('instrument-act-incomplete');
    const { body: calibrated } = await act({ kind: 'calibrated', passed: true, lastDay: '2027-11-25' });
    expect([calibrated.faults, calibrated.calibrationDue]).toEqual([[], '2027-11-26T01:00:00.000Z']);
    expect(await rules(await run())).toEqual([]);
    expect(await rules(early)).toEqual(['instrument-unfit']);
    await act({ kind: 'taken out of use', note: 'reads low' });
    expect(await rules(await run())).toEqual(['instrument-unfit']);
    const again = await director.post<Refused>('/api/instruments', { ...instrumentForm, code: 'TH-04' });
    expect([again.status, again.body.code]).toEqual([409, 'code-taken']);
  });

  it('tells of terms before they end, and shows them in the calendar', async () => {
    await decide({ lastDay: '2026-12-20' });
    const { body: timer } = await director.post<InstrumentDto>('/api/instruments', { ...instrumentForm, code: 'TI-9' });
    const serviced = { kind: 'serviced', passed: true, lastDay: '2027-03-01', note: 'cleaned' };
    await technician.post(`/api/instruments/${timer.id}/acts`, serviced);
    const when = { now: test.clock.now(), zone: 'Atlantic/Azores' };
    const told = await test.store.read(LABORATORY, (view) => mattersNow(view, when));
    expect(told.filter(({ kind }) => kind === 'term ending').map(({ text }) => text)).toEqual([
      expect.stringMatching(/^Invented tansy in Acridine orange.*: assess anew; the term ends at 2026-12-21T01:00/),
    ]);
    const shown = await test.store.read(LABORATORY, (view) => calendarEntries(view, when));
    expect(shown.filter(({ key }) => key.startsWith('term:')).map(({ at }) => at)).toEqual([
      '2026-12-21T01:00:00.000Z',
      '2027-03-02T01:00:00.000Z',
    ]);
  });

  const instrumentForm = { name: 'Another', kind: 'timer', calibrated: false };

  it('follows a round of external assessment to its signed end', async () => {
    const { body: round } = await director.post<RoundDto>('/api/assessment-rounds', {
      body: 'Outer ring of laboratories (invented)',
      round: '2026-B',
      protocolId: 'ao-fresh',
      dueDay: '2026-12-10',
      samples: 2,
    });
    const act = (body: object) => director.post<RoundDto & Refused>(`/api/assessment-rounds/${round.id}/acts`, body);
    await act({ kind: 'sent', text: 'two slides' });
    const { body: scored } = await act({ kind: 'scored', score: 9, outOf: 20, satisfactory: false });
    expect(scored.standing).toBe('to be looked into');
    expect((await act({ kind: 'closed', password: PASSWORD })).body.code).toBe('round-open');
    await act({ kind: 'cause', text: 'rinse too long' });
    await act({ kind: 'action', text: 'rinse by the clock' });
    expect((await act({ kind: 'closed' })).status).toBe(403);
    const { body: closed } = await act({ kind: 'closed', password: PASSWORD });
    expect([closed.standing, closed.acts.at(-1)?.signature?.meaning]).toEqual(['closed', 'review']);
  });
});
