import { beforeAll, expect, it } from '@jest/globals';
import type { ReleaseDto } from '../../src/contract/releases.dto.js';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { verifyRecord } from '../../src/store/questions/verify.js';
import { ReleaseQuestionRow } from '../../src/store/rows/second-looks.entity.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

interface Refused {
  code: string;
  problems?: { at: string }[];
}

describeOnEachDatabase('Releases', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let technician: Client;
  let releaser: Client;
  let benches = 0;

  beforeAll(async () => {
    furnished = await furnish(test);
    technician = await test.as('technician');
    await test.createPerson('corvin', ['releaser'], 'Corvin Lanternquay');
    await test.createPerson('isolde', ['director'], 'Isolde Fathomgate');
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    await test.createPerson('brindle', ['administrator'], 'Brindle Ashe');
    releaser = await test.signIn('corvin');
  });

  const newBench = (): Bench => new Bench(test, technician, furnished, `station-${(benches += 1)}`);
  const played = async (seconds: Record<string, number> = {}): Promise<string> => {
    const bench = newBench();
    const id = await bench.start();
    await bench.play(id, seconds);
    return id;
  };
  const release = (runId: string, changes: object = {}, key?: string) =>
    releaser.post<ReleaseDto & Refused>(
      `/api/runs/${runId}/releases`,
      {
        subjectId: furnished.core,
        point: 'adequacy',
        kind: 'adequacy',
        words: 'Adequate.',
        password: PASSWORD,
        ...changes,
      },
      key === undefined ? {} : { headers: { 'idempotency-key': key } },
    );
  const exception = (changes: object = {}) => ({
    reason: 'The nuclei are crisp all the same; looked at by two.',
    secondLogin: 'isolde',
    secondPassword: PASSWORD,
    ...changes,
  });
  const codeOf = async (answer: Promise<{ status: number; body: Refused }>): Promise<[number, string]> => {
    const { status, body } = await answer;
    return [status, body.code];
  };

  it('over a finding take a reason and two people, and carry a mark from then on', async () => {
    const runId = await played({ dye: 200 });
    expect(await codeOf(release(runId))).toEqual([409, 'held']);
    expect(await codeOf(release(runId, { exception: exception({ secondLogin: 'corvin' }) }))).toEqual([
      422,
      'same-signer',
    ]);
    expect(await codeOf(release(runId, { exception: exception({ secondLogin: 'tansy' }) }))).toEqual([
      403,
      'second-not-allowed',
    ]);
    expect(await codeOf(release(runId, { exception: exception({ secondPassword: 'not hers' }) }))).toEqual([
      403,
      'wrong-password',
    ]);
    expect((await releaser.get<ReleaseDto[]>(`/api/releases?run=${runId}`)).body).toEqual([]);
    const { status, body } = await release(runId, { exception: exception() });
    expect([status, body.verdict, body.exception?.findings]).toEqual([201, 'held', ['step-long:dye']]);
    expect([body.signature.name, body.exception?.second.name]).toEqual(['Corvin Lanternquay', 'Isolde Fathomgate']);
    expect(body.marks).toEqual([expect.stringMatching(/^Released by exception over: .*too long.* Reason: The nuclei/)]);
  });

  it('never go over a release point that was not reached, and need no exception where the gate is clear', async () => {
    const bench = newBench();
    const open = await bench.start();
    const { status, body } = await release(open, { exception: exception() });
    expect([status, body.code, body.problems?.map(({ at }) => at)]).toEqual([
      409,
      'no-exception',
      expect.arrayContaining(['point-not-reached:run']),
    ]);
    expect(await codeOf(release(await played(), { exception: exception() }))).toEqual([409, 'no-exception-needed']);
  });

  it('are amended by another beside the original, once, and withdrawn with whom it was told to', async () => {
    const runId = await played();
    const { body: first } = await release(runId);
    expect([first.standing, first.marks]).toEqual(['stands', []]);
    expect(await codeOf(release(runId))).toEqual([409, 'released-already']);
    expect(await codeOf(release(runId, { amends: first.id, kind: 'preliminary impression' }))).toEqual([
      422,
      'other-release',
    ]);
    const { body: second } = await release(runId, {
      amends: first.id,
      words: 'Adequate, few cells.',
      place: 'At home',
    });
    expect([second.amends, second.place, second.marks]).toEqual([
      first.id,
      'At home',
      [expect.stringMatching(/^Amended/)],
    ]);
    expect(await codeOf(release(runId, { amends: first.id }))).toEqual([409, 'amended-already']);
    const withdraw = () =>
      releaser.post<ReleaseDto & Refused>(`/api/releases/${second.id}/withdrawal`, {
        reason: 'Mixed up with another core.',
        told: 'The radiologist, by telephone.',
        password: PASSWORD,
      });
    expect((await withdraw()).body.standing).toBe('withdrawn');
    expect(await codeOf(withdraw())).toEqual([409, 'withdrawn-already']);
    const { body: all } = await releaser.get<ReleaseDto[]>(`/api/releases?run=${runId}`);
    expect(all.map(({ standing, amendedBy }) => [standing, amendedBy])).toEqual([
      ['withdrawn', null],
      ['amended', second.id],
    ]);
  });

  it('wait while a person holds the result back, and go on when the hold is lifted', async () => {
    const runId = await played();
    const hold = (holds: boolean) =>
      releaser.post<Refused>(`/api/runs/${runId}/holds`, {
        subjectId: furnished.core,
        holds,
        reason: 'Asked a colleague.',
      });
    expect(await codeOf(hold(false))).toEqual([409, 'unchanged']);
    expect((await hold(true)).status).toBe(201);
    expect(await codeOf(hold(true))).toEqual([409, 'unchanged']);
    expect(await codeOf(release(runId))).toEqual([409, 'held-by-person']);
    await hold(false);
    expect((await release(runId)).status).toBe(201);
  });

  it('confirm the answer that was spoken first', async () => {
    const bench = newBench();
    const runId = await bench.start();
    await bench.play(runId);
    const { body: answered } = await technician.post<{ event: { id: string } }>(`/api/runs/${runId}/answers`, {
      subjectId: furnished.core,
      point: 'adequacy',
      words: 'Adequate.',
      listener: 'the radiologist',
      readBack: true,
      stamp: bench.stamp(),
    });
    expect(await codeOf(release(runId, { answer: runId }))).toEqual([422, 'no-such-answer']);
    const { body } = await release(runId, { answer: answered.event.id });
    expect(body.answerId).toBe(answered.event.id);
  });

  it('wait for a device that may hold entries, until it says that it has sent all or two people declare it lost', async () => {
    const bench = newBench();
    const runId = await bench.start();
    const page = { ...bench.stamp(), device: 'browser-1', unsent: 1 };
    const say = (kind: string, data: object, stamp: object, key?: string) =>
      technician.post<Refused>(
        `/api/runs/${runId}/events`,
        { kind, data, stamp },
        key === undefined ? {} : { headers: { 'idempotency-key': key } },
      );
    expect((await say('noted', { text: 'taken to the ultrasound' }, page, 'k1')).status).toBe(201);
    // A later try to send the same says how much is held by then; it is the same entry all the same.
    expect((await say('noted', { text: 'taken to the ultrasound' }, { ...page, unsent: 3 }, 'k1')).status).toBe(201);
    await bench.play(runId);
    expect((await release(runId)).body).toMatchObject({ code: 'held', findings: [{ rule: 'device-unsent' }] });
    expect(await codeOf(release(runId, { exception: exception() }))).toEqual([409, 'no-exception']);

    const late = { ...bench.stamp(), device: 'browser-1', unsent: 0 };
    const other = await say('device-settled', { device: 'browser-2' }, late);
    expect([other.status, other.body.problems?.map(({ at }) => at)]).toEqual([422, ['data.device']]);
    expect((await say('device-settled', { device: 'browser-1' }, { ...late, unsent: 2 })).status).toBe(201);
    expect(await codeOf(release(runId))).toEqual([409, 'held']);

    const lose = (changes: object = {}) =>
      releaser.post<Refused>(`/api/runs/${runId}/lost-devices`, {
        device: 'browser-1',
        reason: 'It fell into the xylene.',
        password: PASSWORD,
        secondLogin: 'isolde',
        secondPassword: PASSWORD,
        stamp: bench.stamp(),
        ...changes,
      });
    expect(await codeOf(lose({ secondLogin: 'corvin' }))).toEqual([422, 'same-signer']);
    expect(await codeOf(lose({ secondLogin: 'brindle' }))).toEqual([403, 'second-not-allowed']);
    expect(await codeOf(lose({ password: 'not his' }))).toEqual([403, 'wrong-password']);
    // Each of two passwords is refused by its own field.
    const fieldsOf = async (answer: Promise<{ body: Refused }>) => (await answer).body.problems?.map(({ at }) => at);
    expect(await fieldsOf(lose({ password: 'not his' }))).toEqual(['password']);
    expect(await fieldsOf(lose({ secondPassword: 'not hers' }))).toEqual(['secondPassword']);
    const besides = exception({ secondPassword: 'not hers' });
    expect(await fieldsOf(release(runId, { exception: besides }))).toEqual(['exception.secondPassword']);
    expect(await codeOf(lose({ device: 'browser-7' }))).toEqual([422, 'invalid-event']);
    expect((await lose()).status).toBe(201);
    const { body } = await release(runId);
    expect(body.marks).toEqual([
      'browser-1 was declared lost by Corvin Lanternquay and Isolde Fathomgate: It fell into the xylene.',
    ]);
    const questions = () => test.store.read(LABORATORY, (view) => view.all(ReleaseQuestionRow, { releaseId: body.id }));
    expect(await questions()).toEqual([]);
    // It was found again, and what it held asks the release anew.
    const found = { step: 'receive', value: 21, unit: 'Cel' };
    expect((await say('temperature-read', found, late)).status).toBe(201);
    expect(await questions()).toHaveLength(1);

    const settled = newBench();
    const second = await settled.start();
    await technician.post(`/api/runs/${second}/events`, {
      kind: 'noted',
      data: { text: 'begun here' },
      stamp: { ...settled.stamp(), device: 'browser-1', unsent: 0 },
    });
    await settled.play(second);
    expect(await codeOf(release(second))).toEqual([409, 'held']);
    await technician.post(`/api/runs/${second}/events`, {
      kind: 'device-settled',
      data: { device: 'browser-1' },
      stamp: { ...settled.stamp(), device: 'browser-1', unsent: 0 },
    });
    expect((await release(second)).body.marks).toEqual([]);
  });

  it('let an irreplaceable specimen go on its collector’s signed word, with a mark', async () => {
    const bench = newBench();
    const runId = await bench.start();
    await bench.play(runId, {}, [], false);
    const rules = async (): Promise<string[] | undefined> =>
      (await releaser.get<JudgementDto>(`/api/runs/${runId}/judgement`)).body.subjects[0]?.points[0]?.findings.map(
        ({ rule }) => rule,
      );
    expect(await rules()).toEqual(['identity-unconfirmed']);
    expect(await codeOf(release(runId, { exception: exception() }))).toEqual([409, 'no-exception']);
    const attest = (changes: object = {}) =>
      technician.post<Refused>(`/api/runs/${runId}/attestations`, {
        subjectId: furnished.core,
        statement: 'I took this core myself and it never left my hand.',
        login: 'isolde',
        password: PASSWORD,
        stamp: bench.stamp(),
        ...changes,
      });
    expect(await codeOf(attest({ password: 'not hers' }))).toEqual([403, 'wrong-password']);
    expect((await attest()).status).toBe(201);
    expect(await rules()).toEqual(['identity-attested']);
    const { body } = await release(runId);
    expect(body.marks).toEqual([expect.stringMatching(/rests on the word of its collector, Isolde Fathomgate/)]);
  });

  it('are found again by verify, exceptions and all', async () => {
    const found = await test.store.read(LABORATORY, async (view) => {
      const { counts, faults } = verifyRecord(view);
      const all = [];
      for await (const fault of faults) all.push(fault);
      return { all, releases: counts.releases, other: counts.otherRules };
    });
    expect(found).toEqual({ all: [], releases: 8, other: 0 });
  });
});
