import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { randomUUID } from 'node:crypto';
import type { ReleaseDto } from '../../src/contract/releases.dto.js';
import type { LookedAtListDto, SecondLookDto, SecondLookListDto } from '../../src/contract/second-looks.dto.js';
import type { NoticeDto } from '../../src/contract/notices.dto.js';
import type { Finding } from '../../src/core/gate/finding.js';
import type { RunEvent } from '../../src/core/run/events.js';
import { plusMs } from '../../src/core/time/instant.js';
import { BullRunner } from '../../src/jobs/bull.js';
import { EmbeddedRunner } from '../../src/jobs/embedded.js';
import { HANDLERS } from '../../src/jobs/handlers.js';
import type { JobRunner, Work } from '../../src/jobs/runner.js';
import { secondLook } from '../../src/jobs/second-look.js';
import { verifyRecord } from '../../src/store/questions/verify.js';
import { ReleaseAnswerRow, ReleaseQuestionRow, SecondLookRow } from '../../src/store/rows/second-looks.entity.js';
import { ContainerRow, LotActRow } from '../../src/store/rows/stock.entity.js';
import { Client, LABORATORY, PASSWORD } from '../support/app.js';
import { placesIn } from '../support/checkpoints.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { emptyRedis } from '../support/redis.js';
import { bathOf, furnishOther } from '../support/furnish-other.js';
import { assessEverybody, Bench, type Furnished, furnish } from '../support/furnish.js';
import { database, onProgram, test } from '../support/stage.js';
import { until } from '../support/until.js';

interface Refused {
  code: string;
  problems?: { at: string }[];
  findings?: Finding[];
}

const MINUTE_MS = 60_000;
const PROGRAM = { laboratoryId: LABORATORY, personId: null, deviceId: null };

describeOnEachDatabase('Second looks', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let other: Furnished;
  let tansy: Client;
  let marl: Client;
  let releaser: Client;
  let director: Client;
  let thermometer: string;
  let runner: JobRunner;
  const prefix = `test-${randomUUID()}`;
  const redis = process.env['TEST_REDIS_URL'];
  const people: Record<string, string> = {};
  /** The releases by their names here, and the runs that they are of. */
  const releases: Record<string, ReleaseDto> = {};
  const benches: Record<string, Bench> = {};
  const begun: Record<string, string> = {};

  const run = async (
    name: string,
    { by, with: given, station }: { by: Client; with: Furnished; station: string },
  ): Promise<string> => {
    const bench = new Bench(test, by, given, `bench-${name}`);
    benches[name] = bench;
    const { body } = await by.post<{ id: string }>('/api/runs', {
      revisionId: given.revisionId,
      station,
      purpose: 'patients',
      subjects: [
        { subjectId: given.core, role: 'patient' },
        ...Object.entries(given.controls).map(([control, subjectId]) => ({ subjectId, role: 'control', control })),
      ],
    });
    test.clock.forward(MINUTE_MS);
    begun[name] = test.clock.now();
    await bench.play(body.id);
    test.clock.forward(MINUTE_MS);
    return body.id;
  };
  const release = (runId: string, client = releaser, changes: object = {}) =>
    client.post<ReleaseDto & Refused>(`/api/runs/${runId}/releases`, {
      subjectId: furnished.core,
      point: 'adequacy',
      kind: 'adequacy',
      words: 'Adequate.',
      password: PASSWORD,
      ...changes,
    });
  const shown = async (name: string): Promise<ReleaseDto> => {
    const { id, runId } = releases[name] as ReleaseDto;
    const found = (await releaser.get<ReleaseDto[]>(`/api/releases?run=${runId}`)).body.find((each) => each.id === id);
    return found as ReleaseDto;
  };
  const eventsOf = async (name: string): Promise<RunEvent[]> =>
    (await releaser.get<{ events: RunEvent[] }>(`/api/runs/${releases[name]?.runId}`)).body.events;
  const correct = async (name: string, which: (event: RunEvent) => boolean, how: object): Promise<void> => {
    const meant = (await eventsOf(name)).find(which);
    const { status, body } = await (benches[name] as Bench).event(releases[name]?.runId ?? '', 'corrected', {
      event: meant?.id,
      reason: 'Read off the film of the bench.',
      ...how,
    });
    expect([status, body]).toEqual([201, expect.anything()]);
  };

  /** What an act asked of, by cause; and of those, once the job is through, which worsened. */
  const lookedAt = async (act: () => Promise<unknown>) => {
    const before = await test.store.read(LABORATORY, (view) => view.all(SecondLookRow));
    await act();
    const known = new Set(before.map(({ id }) => id));
    const looks = (await test.store.read(LABORATORY, (view) => view.all(SecondLookRow))).filter(
      ({ id }) => !known.has(id),
    );
    const nameOf = (id: string): string =>
      Object.entries(releases).find(([, { id: own }]) => own === id)?.[0] ?? `unknown ${id}`;
    const asked: Record<string, string[]> = {};
    for (const look of looks) {
      const questions = await test.store.read(LABORATORY, (view) => view.all(ReleaseQuestionRow, { lookId: look.id }));
      asked[look.cause] = questions.map(({ releaseId }) => nameOf(releaseId)).sort();
      expect(look.asked).toBe(questions.length);
    }
    const worse: string[] = [];
    for (const { id, asked: count } of looks) {
      const answers = await answered(id, count);
      worse.push(...answers.filter(({ outcome }) => outcome === 'worsened').map(({ releaseId }) => nameOf(releaseId)));
    }
    return { asked, worse: [...new Set(worse)].sort() };
  };
  const answered = async (lookId: string, count: number): Promise<ReleaseAnswerRow[]> => {
    let answers: ReleaseAnswerRow[] = [];
    await until(`the second look ${lookId} is answered`, async () => {
      answers = await test.store.read(LABORATORY, (view) => view.all(ReleaseAnswerRow, { lookId }));
      return answers.length >= count;
    });
    return answers;
  };

  beforeAll(async () => {
    const work: Work = {
      ...{ store: test.store, clock: test.clock, checkpoints: placesIn('/nonexistent'), filesDir: '/nonexistent' },
      ...{ mail: null, handlers: HANDLERS, patience: { attempts: 1, firstMs: 1 }, warn: () => undefined },
    };
    // Through Redis on one of the two databases, where there is one.
    const bull = redis !== undefined && database.address.kind === 'postgres';
    runner = bull ? new BullRunner(work, { url: redis, prefix, works: true }) : new EmbeddedRunner(work);
    await runner.start();
    furnished = await furnish(test);
    other = await furnishOther(test, furnished);
    for (const [login, roles, name] of [
      ['tansy', ['technician'], 'Tansy Pebbleworth'],
      ['marl', ['technician', 'manager'], 'Marl Ottershaw'],
      ['corvin', ['releaser'], 'Corvin Lanternquay'],
      ['isolde', ['director'], 'Isolde Fathomgate'],
    ] as const)
      people[login] = await test.createPerson(login, [...roles], name);
    [tansy, marl, releaser, director] = (await Promise.all(
      ['tansy', 'marl', 'corvin', 'isolde'].map((login) => test.signIn(login)),
    )) as [Client, Client, Client, Client];
    furnished.containers['saline'] = await bathOf(test, furnished.containers['saline'] ?? '', people['marl'] ?? '');
    await assessEverybody(test, furnished.protocol.id);
    await assessEverybody(test, other.protocol.id);
    const dye = furnished.containers['acridine-orange-working'] ?? '';
    await marl.post('/api/places', { code: 'FRIDGE-1', name: 'Fridge', min: 2, max: 8, dark: true });
    expect((await marl.post(`/api/containers/${dye}/place`, { place: 'FRIDGE-1' })).status).toBe(201);
    const { body } = await director.post<{ id: string }>('/api/instruments', {
      code: 'TH-1',
      name: 'Bench thermometer',
      kind: 'thermometer',
      calibrated: true,
      station: 'Ultrasound 1',
    });
    thermometer = body.id;
    const passed = { kind: 'calibrated', passed: true, lastDay: '2027-03-31', note: 'In ice water.' };
    expect((await marl.post(`/api/instruments/${thermometer}/acts`, passed)).status).toBe(201);
    test.clock.forward(MINUTE_MS);
    for (const name of ['first', 'second']) {
      const runId = await run(name, { by: tansy, with: furnished, station: 'Ultrasound 1' });
      releases[name] = (await release(runId)).body;
    }
    const runId = await run('apart', { by: marl, with: other, station: 'Ultrasound 2' });
    releases['apart'] = (await release(runId)).body;
    expect(Object.values(releases).map(({ verdict }) => verdict)).toEqual(['clear', 'clear', 'clear']);
  });

  afterAll(async () => {
    await runner.stop();
    if (redis !== undefined) await emptyRedis(redis, prefix);
  });

  const otherBottle = (): string => other.containers['acridine-orange-working'] ?? '';
  const dyed = ({ kind, data }: RunEvent, of: string): boolean => kind === of && 'step' in data && data.step === 'dye';

  const ACTS: [string, () => Promise<unknown>, Record<string, string[]>, string[]][] = [
    [
      'a step that was played after the point, an identity confirmed, a note',
      async () => {
        const { id = '', runId = '' } = releases['first'] ?? {};
        const bench = benches['first'] as Bench;
        await bench.must(runId, 'noted', { text: 'Looked at again by eye.' });
        await bench.must(runId, 'identity-confirmed', { subject: furnished.core });
        return id;
      },
      {},
      [],
    ],
    [
      'a correction that keeps its step within the window',
      async () => {
        const meant = (await eventsOf('first')).find((event) => dyed(event, 'step-ended'));
        await correct('first', ({ id }) => id === meant?.id, {
          at: plusMs(meant?.stamp.at ?? '', -1000),
          uncertaintyMs: 100,
        });
      },
      { 'run corrected': ['first'] },
      [],
    ],
    [
      'a correction of when slides went through a bath',
      async () => {
        const meant = (await eventsOf('first')).find(
          ({ kind, data }) => kind === 'step-started' && 'step' in data && data.step === 'receive',
        );
        await correct('first', ({ id }) => id === meant?.id, {
          at: plusMs(meant?.stamp.at ?? '', -1000),
          uncertaintyMs: 100,
        });
      },
      { 'run corrected': ['first'], 'bath load corrected': ['second'] },
      [],
    ],
    [
      'an event entered late',
      async () => {
        await (benches['second'] as Bench).event(
          releases['second']?.runId ?? '',
          'tray-scanned',
          {
            reagent: 'acridine-orange-working',
            container: furnished.containers['acridine-orange-working'],
          },
          { stamp: { late: true, at: plusMs(begun['second'] ?? '', -1000), monotonicMs: null, uncertaintyMs: 1000 } },
        );
      },
      { 'run corrected': ['second'] },
      [],
    ],
    [
      'a bottle put on hold',
      () => marl.post(`/api/containers/${otherBottle()}/holds`, { kind: 'damage', reason: 'The cap does not close.' }),
      { 'container on hold': ['apart'] },
      [],
    ],
    [
      'a bottle on hold found unfit',
      async () => {
        const { body } = await marl.get<{ holds: { id: string; containerId: string }[] }>('/api/places');
        const hold = body.holds.find(({ containerId }) => containerId === otherBottle());
        return marl.post('/api/holds/decisions', { holds: [hold?.id], usable: false, reason: 'It is cracked.' });
      },
      { 'container on hold': ['apart'] },
      [],
    ],
    [
      'competence withdrawn',
      () =>
        director.post(`/api/people/${people['marl']}/competence`, {
          protocolId: other.protocol.id,
          decision: 'withdrawn',
          elements: [],
          reason: 'The assessment was of another protocol.',
          password: PASSWORD,
        }),
      { 'competence decided': ['apart'] },
      [],
    ],
    [
      'an instrument serviced on time',
      () =>
        marl.post(`/api/instruments/${thermometer}/acts`, {
          kind: 'serviced',
          passed: true,
          lastDay: '2027-03-31',
          note: 'Cleaned.',
        }),
      {},
      [],
    ],
    [
      'a revision retired',
      () => director.post(`/api/revisions/${other.revisionId}/retire`, { note: 'Out of use.', password: PASSWORD }),
      { 'protocol retired': ['apart'] },
      [],
    ],
    ['a lot put back into quarantine', () => lotDecided('apart', 'quarantined'), { 'lot set aside': ['apart'] }, []],
    [
      'a catalogue entry that lets nothing stand in any more',
      async () => {
        const { body } = await director.get<{ reagents: { code: string }[] } | { code: string }[]>('/api/reagents');
        const all = Array.isArray(body) ? body : body.reagents;
        const entry = all.find(({ code }) => code === 'acridine-orange-working');
        const answer = await director.post('/api/reagents', { ...entry, acceptedInstead: ['acridine-orange-stock'] });
        expect([answer.status, answer.body]).toEqual([201, expect.anything()]);
      },
      { 'catalogue changed': ['apart', 'first', 'second'] },
      [],
    ],
    [
      'when a specimen went into fixative',
      () =>
        tansy.post(`/api/subjects/${furnished.core}/moments`, {
          kind: 'into fixative',
          at: test.clock.now(),
          fixative: 'nbf-10',
        }),
      { 'tissue times told': ['apart', 'first', 'second'] },
      [],
    ],
    [
      'a bottle that had been thrown away before its use',
      () =>
        marl.post(`/api/containers/${otherBottle()}/state`, {
          state: 'discarded',
          at: plusMs(begun['apart'] ?? '', -1),
          reason: 'It was thrown away the evening before.',
        }),
      { 'container state corrected': ['apart'] },
      ['apart'],
    ],
    [
      'a reading of a control that passed taken back',
      () => correct('first', ({ kind }) => kind === 'control-read', { withdrawn: true }),
      { 'control reading corrected': ['second'], 'run corrected': ['first'] },
      ['first'],
    ],
    [
      'a thermometer that fails its check',
      () =>
        marl.post(`/api/instruments/${thermometer}/acts`, {
          kind: 'calibrated',
          passed: false,
          at: plusMs(begun['first'] ?? '', -1),
          note: 'It shows 3 Cel too little.',
        }),
      { 'instrument checked': ['first', 'second'] },
      ['first', 'second'],
    ],
    [
      'a warm fridge told of later',
      () =>
        marl.post('/api/places/FRIDGE-1/temperatures', {
          value: 14,
          unit: 'Cel',
          at: plusMs(begun['second'] ?? '', -1),
        }),
      // A time of the first was corrected, which might have reached into it.
      { 'storage excursion': ['first', 'second'] },
      ['first', 'second'],
    ],
    [
      'a lot rejected',
      () => lotDecided('first', 'rejected'),
      { 'lot set aside': ['first', 'second'] },
      ['first', 'second'],
    ],
    [
      'a step that had taken too long',
      async () => {
        const meant = (await eventsOf('second')).find((event) => dyed(event, 'step-ended'));
        await correct('second', ({ id }) => id === meant?.id, {
          at: plusMs(meant?.stamp.at ?? '', 600_000),
          uncertaintyMs: 100,
        });
      },
      { 'run corrected': ['second'] },
      ['second'],
    ],
  ];
  const lotDecided = async (of: string, standing: string) => {
    const bottle = (of === 'apart' ? other : furnished).containers['acridine-orange-working'];
    const { body } = await marl.get<{ lotId: string }>(`/api/containers/${bottle}`);
    return marl.post(`/api/lots/${body.lotId}/decisions`, { standing, reason: 'The maker found a fault.' });
  };

  it.each(ACTS)('%s asks of exactly the releases that used it', async (_name, act, asked, worse) => {
    test.clock.forward(1000);
    expect(await lookedAt(act)).toEqual({ asked, worse });
  });

  it('make a release in question until it is upheld by signature, by two over a stop', async () => {
    const { id } = releases['apart'] as ReleaseDto;
    const before = await shown('apart');
    expect(before.standing).toBe('in question');
    const worst = before.looks.find(({ answer }) => answer?.outcome === 'worsened');
    expect(worst).toMatchObject({ cause: 'container state corrected', reason: expect.stringContaining('thrown away') });
    expect(worst?.answer).toMatchObject({ verdict: 'held', rules: before.rules });
    expect(worst?.answer?.worse.map(({ rule }) => rule)).toEqual(['discarded']);
    expect(worst?.answer?.told).toEqual(['Corvin Lanternquay', 'Marl Ottershaw']);
    const { body: notices } = await releaser.get<NoticeDto[]>('/api/notices');
    expect(notices.filter(({ text }) => text.includes('in question')).length).toBeGreaterThan(0);

    const uphold = (changes: object = {}, client = releaser) =>
      client.post<ReleaseDto & Refused>(`/api/releases/${id}/upholding`, {
        reason: 'Another bottle of the lot was in hand; the labels were mixed up.',
        password: PASSWORD,
        ...changes,
      });
    const isolde = { login: 'isolde', password: PASSWORD };
    const codes: [number, string, ...string[]][] = [];
    for (const [changes, client] of [
      [{}, releaser],
      [{ password: 'not his' }, releaser],
      [{ second: { ...isolde, password: 'not hers' } }, releaser],
      [{ second: { ...isolde, login: 'corvin' } }, releaser],
      [{ second: { ...isolde, login: 'tansy' } }, releaser],
      [{ second: isolde }, tansy],
    ] as const) {
      const { status, body } = await uphold(changes, client);
      codes.push([status, body.code, ...(body.problems ?? []).map(({ at }) => at)]);
    }
    expect(codes).toEqual([
      [409, 'second-needed', 'second'],
      [403, 'wrong-password', 'password'],
      [403, 'wrong-password', 'second.password'],
      [422, 'same-signer', 'second.login'],
      [403, 'second-not-allowed', 'second.login'],
      [403, 'role-needed'],
    ]);
    const { status, body } = await uphold({ second: isolde });
    expect([status, body.standing]).toEqual([201, 'stands']);
    expect(body.upheld[0]).toMatchObject({
      signature: { name: 'Corvin Lanternquay', meaning: 'release' },
      second: { name: 'Isolde Fathomgate' },
    });
    expect(body.marks).toEqual([expect.stringMatching(/^Looked at again and upheld over: .*discarded.*mixed up/)]);
    expect((await uphold({ second: isolde })).body.code).toBe('not-in-question');
  });

  it('ask anew of what was upheld, and know what it was upheld over', async () => {
    const lot = () => lotDecided('apart', 'rejected');
    test.clock.forward(1000);
    expect(await lookedAt(lot)).toEqual({ asked: { 'lot set aside': ['apart'] }, worse: ['apart'] });
    const { looks } = await shown('apart');
    expect(looks[0]?.answer?.worse.map(({ rule }) => rule)).toEqual(['lot-rejected']);
  });

  it('end as well when the release is withdrawn, and stay to be read', async () => {
    const listed = async (list: string): Promise<string[]> =>
      (
        await releaser.get<LookedAtListDto>(`/api/second-looks/releases?list=${encodeURIComponent(list)}`)
      ).body.items.map(({ release: { id } }) => Object.entries(releases).find(([, own]) => own.id === id)?.[0] ?? id);
    expect([await listed('in question'), await listed('looked at again'), await listed('closed')]).toEqual([
      ['apart', 'second', 'first'],
      [],
      [],
    ]);
    await releaser.post(`/api/releases/${releases['apart']?.id}/withdrawal`, {
      reason: 'The dye was of a rejected lot.',
      told: 'The radiologist, by telephone, read back.',
      password: PASSWORD,
    });
    expect([await listed('in question'), await listed('closed')]).toEqual([['second', 'first'], ['apart']]);
    expect((await shown('apart')).standing).toBe('withdrawn');
    const withdrawn = await lookedAt(() =>
      marl.post(`/api/containers/${otherBottle()}/holds`, { kind: 'damage', reason: 'Again.' }),
    );
    expect(withdrawn.asked).toEqual({});
  });

  it('show how far their job is, and bear that it runs twice', async () => {
    const { body } = await releaser.get<SecondLookListDto>('/api/second-looks?take=200');
    expect(body.items.every(({ asked, answered: count }) => asked === count)).toBe(true);
    const [latest] = body.items as [SecondLookDto];
    expect(latest).toMatchObject({
      cause: 'lot set aside',
      asked: 1,
      answered: 1,
      worsened: 1,
      person: 'Marl Ottershaw',
    });
    expect((await releaser.post<Refused>(`/api/second-looks/${latest.id}/asking`)).body.code).toBe('answered-already');

    const look = await test.store.change(PROGRAM, 'laboratory.furnished', async (unit) => {
      const { id } = await unit.insert(SecondLookRow, {
        cause: 'run corrected',
        causeId: releases['first']?.runId ?? '',
        path: '/release',
        at: unit.at,
        personId: null,
        reason: 'Its job was lost.',
        asked: 1,
      });
      await unit.insert(ReleaseQuestionRow, { lookId: id, releaseId: releases['first']?.id ?? '' });
      unit.about('laboratory', LABORATORY);
      return id;
    });
    expect((await releaser.get<SecondLookDto>(`/api/second-looks/${look}`)).body).toMatchObject({ answered: 0 });
    const context = {
      store: test.store,
      clock: test.clock,
      checkpoints: placesIn('/nonexistent'),
      filesDir: '/nonexistent',
      mail: null,
      laboratoryId: LABORATORY,
    };
    await Promise.all([secondLook(look, context), secondLook(look, context)]);
    await secondLook(look, context);
    expect(await answered(look, 1)).toHaveLength(1);
    expect((await releaser.get<SecondLookDto>(`/api/second-looks/${look}`)).body).toMatchObject({
      answered: 1,
      worsened: 1,
    });
  });

  // Issue: a release raced by a correction; no release slips through.
  it('catch a correction that races the release, whichever comes first', async () => {
    const bench = (name: string) => run(name, { by: tansy, with: furnished, station: 'Ultrasound 3' });
    await test.store.change(PROGRAM, 'laboratory.furnished', async (unit) => {
      const code = 'acridine-orange-working';
      const lot = await unit.need(ContainerRow, { id: furnished.containers[code] ?? '' }, 'bottle');
      await unit.insert(LotActRow, {
        lotId: lot.lotId,
        at: unit.at,
        personId: null,
        standing: 'accepted',
        reason: 'furnished',
      });
      unit.about('laboratory', LABORATORY);
    });
    const { body: holds } = await marl.get<{ holds: { id: string }[] }>('/api/places');
    await marl.post('/api/places/FRIDGE-1/temperatures', { value: 5, unit: 'Cel' });
    await marl.post('/api/holds/decisions', {
      holds: holds.holds.map(({ id }) => id),
      usable: true,
      reason: 'Compared with another bottle.',
    });
    const outcomes: string[] = [];
    for (const [n, first] of (['release', 'correction', 'release', 'correction'] as const).entries()) {
      const runId = await bench(`raced-${n}`);
      // The time that is told lies in the past by then.
      test.clock.forward(20 * MINUTE_MS);
      const { body } = await releaser.get<{ events: RunEvent[] }>(`/api/runs/${runId}`);
      const meant = body.events.find((event) => dyed(event, 'step-ended'));
      const asked = {
        release: () => release(runId),
        correction: () =>
          (benches[`raced-${n}`] as Bench).event(runId, 'corrected', {
            event: meant?.id,
            at: plusMs(meant?.stamp.at ?? '', 600_000),
            uncertaintyMs: 100,
            reason: 'Read off the film.',
          }),
      };
      const sent = first === 'release' ? [asked.release(), asked.correction()] : [asked.correction(), asked.release()];
      const answers = await Promise.all(sent);
      expect(answers[first === 'release' ? 1 : 0]?.status).toBe(201);
      const released = answers[first === 'release' ? 0 : 1] as Awaited<ReturnType<typeof release>>;
      if (released.status === 409) {
        outcomes.push('judged with it');
        expect(released.body.findings?.map(({ rule }) => rule)).toContain('step-long');
        continue;
      }
      expect(released.status).toBe(201);
      outcomes.push('asked again');
      releases[`raced-${n}`] = released.body;
      const questions = await test.store.read(LABORATORY, (view) =>
        view.all(ReleaseQuestionRow, { releaseId: released.body.id }),
      );
      expect(questions).toHaveLength(1);
      await answered(questions[0]?.lookId ?? '', 1);
      expect((await shown(`raced-${n}`)).standing).toBe('in question');
    }
    expect(outcomes).toHaveLength(4);
  });

  // 21 CFR 11.200(a)(1): the signer proves who they are at each signature; a session that is over signs nothing.
  it('sign nothing with a wrong password or once the session is over', async () => {
    const runId = releases['second']?.runId ?? '';
    const wrong = await release(runId, releaser, { password: 'not his', kind: 'preliminary impression' });
    expect([wrong.status, wrong.body.code]).toEqual([403, 'wrong-password']);
    test.clock.forward(40 * 24 * 60 * MINUTE_MS);
    const over = await release(runId, releaser, { kind: 'preliminary impression' });
    expect([over.status, over.body.code]).toEqual([401, 'sign-in-needed']);
    const stolen = new Client(releaser.url, { cookie: 'stainwright_session=made-up' });
    expect((await release(runId, stolen)).status).toBe(401);
    releaser = await test.signIn('corvin');
    expect((await releaser.get<ReleaseDto[]>(`/api/releases?run=${runId}`)).body).toHaveLength(1);
  });

  it('are found again by verify', async () => {
    const found = await test.store.read(LABORATORY, async (view) => {
      const { faults } = verifyRecord(view);
      const all = [];
      for await (const fault of faults) all.push(fault);
      return all;
    });
    expect(found).toEqual([]);
  });
});
