import { createHash } from 'node:crypto';
import { beforeAll, expect, it } from '@jest/globals';
import type { OpenAPIObject } from '@nestjs/swagger';
import type {
  AnswerDto,
  FoundDto,
  LooksDto,
  OwnScopeDto,
  ProofDto,
  RequirementListDto,
  ReviewGrantDto,
  SampleDto,
  SignaturesDto,
} from '../../src/contract/review.dto.js';
import type { LookedAtListDto, SecondLookListDto } from '../../src/contract/second-looks.dto.js';
import type { RecordPageDto } from '../../src/contract/record.dto.js';
import type { PersonDto } from '../../src/contract/people.dto.js';
import { REVIEWER_ROUTES } from '../../src/modules/http/reviewer-routes.js';
import { type Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

/** The day of the tests, in the laboratory's zone. */
const TODAY = '2026-11-25';
const PERIOD = `from=${TODAY}&to=${TODAY}`;
const DAY_MS = 86_400_000;

interface Refused {
  code: string;
  detail: string;
  problems?: { at: string }[];
}

describeOnEachDatabase('A review', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let administrator: Client;
  let director: Client;
  let reviewer: Client;
  let reviewerId: string;
  let technicianId: string;
  let run: string;

  const grant = (changes: object = {}) =>
    administrator.post<ReviewGrantDto & Refused>('/api/review/grants', {
      personId: reviewerId,
      fromDay: '2026-11-01',
      toDay: TODAY,
      validFrom: TODAY,
      validTo: '2026-11-30',
      reason: 'Accreditation visit (invented)',
      ...changes,
    });
  const refusal = async (path: string, who: Client = reviewer): Promise<[number, string]> => {
    const { status, body } = await who.get<Refused>(path);
    return [status, body.code];
  };
  const ask = async (query: string, who: Client = reviewer): Promise<AnswerDto> => {
    const { status, body } = await who.get<AnswerDto>(`/api/review/answer?${query}`);
    expect([query, status]).toEqual([query, 200]);
    return body;
  };
  const countOf = ({ counts }: AnswerDto, name: string): [number, number | null] => {
    const found = counts.find(({ what }) => what === name);
    return [found?.count ?? -1, found?.of?.count ?? null];
  };

  beforeAll(async () => {
    furnished = await furnish(test);
    technicianId = await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    await test.createPerson('corvin', ['releaser'], 'Corvin Lanternquay');
    await test.createPerson('isolde', ['director', 'releaser'], 'Isolde Fathomgate');
    reviewerId = await test.createPerson('quennel', ['reviewer'], 'Quennel Overlook');
    administrator = await test.as('administrator');
    director = await test.signIn('isolde');
    const bench = new Bench(test, await test.signIn('tansy'), furnished);
    run = await bench.start();
    // Too long in the dye, so that it leaves by exception; one entry comes late.
    await bench.play(run, { dye: 200 });
    await bench.event(run, 'noted', { text: 'found on paper' }, { stamp: { late: true, uncertaintyMs: 60_000 } });
    const releaser = await test.signIn('corvin');
    const { status } = await releaser.post(`/api/runs/${run}/releases`, {
      ...{ subjectId: furnished.core, point: 'adequacy', kind: 'adequacy', words: 'Adequate.', password: PASSWORD },
      exception: { reason: 'Crisp all the same.', secondLogin: 'isolde', secondPassword: PASSWORD },
    });
    expect(status).toBe(201);
    reviewer = await test.signIn('quennel');
  });

  it('shows nothing before anything is granted, and says so', async () => {
    const { status, body } = await reviewer.get<Refused>(`/api/runs/${run}`);
    expect([status, body.code]).toEqual([403, 'review-closed']);
    expect(body.detail).toContain('Nobody has given you access');
    expect((await reviewer.get<OwnScopeDto>('/api/review/scope')).body).toMatchObject({
      grant: null,
      closed: body.detail,
    });
    expect((await reviewer.get('/api/session')).status).toBe(200);
  });

  it('is granted to reviewers alone, for a period that holds something, by administrators and directors', async () => {
    const { status, body } = await grant({ personId: technicianId });
    expect([status, body.code]).toEqual([409, 'no-reviewer']);
    for (const [changes, at] of [
      [{ toDay: '2026-10-01' }, 'toDay'],
      [{ validTo: '2026-11-24', validFrom: '2026-11-20' }, 'validTo'],
      [{ protocols: [] }, 'protocols'],
      [{ areas: ['kitchen'] }, 'areas'],
    ] as const) {
      const refused = await grant(changes);
      expect([refused.status, refused.body.problems?.map((each) => each.at)]).toEqual([422, [at]]);
    }
    const manager = await test.as('manager');
    expect((await manager.post('/api/review/grants', {})).status).toBe(403);
    expect((await grant({ protocols: ['no-such'] })).status).toBe(404);
  });

  it('opens what lies within it and nothing else, on every route there is', async () => {
    const made = await grant();
    expect(made.body).toMatchObject({ standing: 'valid', name: 'Quennel Overlook', protocols: null });
    const scope = (await reviewer.get<OwnScopeDto>('/api/review/scope')).body;
    expect(scope).toMatchObject({ grant: { from: '2026-11-01T01:00:00.000Z', to: '2026-11-26T01:00:00.000Z' } });
    expect((await reviewer.get(`/api/runs/${run}`)).status).toBe(200);
    expect((await reviewer.get(`/api/runs/${run}/judgement`)).status).toBe(200);
    expect((await reviewer.get<unknown[]>(`/api/releases?run=${run}`)).body).toHaveLength(1);

    const { paths } = (await test.nobody.get<OpenAPIObject>('/api/openapi.json')).body;
    const gets = Object.entries(paths).filter(([, item]) => item.get?.security !== undefined);
    const known = Object.keys(REVIEWER_ROUTES);
    for (const [path] of gets) {
      const route = `GET ${path.replace(/\{(\w+)\}/g, ':$1')}`;
      if (known.includes(route)) continue;
      const [status, code] = await refusal(path.replace(/\{\w+\}/g, 'made-up'));
      expect([route, status]).toEqual([route, 403]);
      expect(['not-for-review', 'role-needed']).toContain(code);
    }
    // A route that is listed and not there would be a hole for whoever adds it later.
    const there = Object.entries(paths).flatMap(([path, item]) =>
      Object.keys(item).map((method) => `${method.toUpperCase()} ${path.replace(/\{(\w+)\}/g, ':$1')}`),
    );
    expect(known.filter((route) => !there.includes(route))).toEqual([]);
  });

  it('keeps every look, without what was typed, and shows it to the laboratory', async () => {
    const looks = async () => (await director.get<LooksDto>('/api/review/looks?take=200')).body;
    const before = (await looks()).total;
    await reviewer.get(`/api/runs/${run}`);
    await reviewer.get('/api/protocols');
    await reviewer.get(`/api/review/find?topic=specimen&text=Quillan%20Testperson&${PERIOD}`);
    await ask(`topic=day&about=${TODAY}&${PERIOD}`);
    const after = await looks();
    expect(after.total).toBe(before + 3);
    expect(after.looks.slice(0, 3).map(({ kind, about, name }) => [kind, about, name])).toEqual([
      ['day', TODAY, 'Quennel Overlook'],
      ['question', 'specimen', 'Quennel Overlook'],
      ['run', run, 'Quennel Overlook'],
    ]);
    const { entries } = (await director.get<RecordPageDto>('/api/record?take=500')).body;
    const looked = entries.filter(({ act }) => act === 'record.looked');
    expect(looked.length).toBe(after.total);
    expect(looked.map(({ body }) => body).join()).not.toContain('Testperson');
    // The laboratory's own people leave no look.
    await ask(`topic=day&about=${TODAY}&${PERIOD}`, director);
    expect((await looks()).total).toBe(after.total);
    expect(await refusal('/api/review/looks')).toEqual([403, 'role-needed']);
  });

  it('answers for a day with denominators, late entries and exceptions', async () => {
    const answer = await ask(`topic=day&about=${TODAY}&${PERIOD}`);
    expect(countOf(answer, 'runs for patients')).toEqual([1, 1]);
    expect(countOf(answer, 'releases by exception')).toEqual([1, 1]);
    expect(countOf(answer, 'control readings that failed')).toEqual([0, 3]);
    const [late, entries] = countOf(answer, 'late entries');
    expect([late, entries === null ? 0 : entries > 10]).toEqual([1, true]);
    expect(answer.late).toMatchObject([{ runId: run, what: 'Run: noted', who: 'Tansy Pebbleworth' }]);
    expect(answer.releases[0]?.exception?.second.name).toBe('Isolde Fathomgate');
    expect(answer.lines.some(({ what, who }) => what === 'Run: step ended, dye' && who === 'Tansy Pebbleworth')).toBe(
      true,
    );
    // What was read off paper stays with the run; nothing written about a patient comes along.
    expect(JSON.stringify(answer)).not.toContain('found on paper');
    expect(JSON.stringify(answer)).not.toContain('Adequate.');
  });

  it('answers for a stain, a lot, a person, a specimen and an instrument, each found by name', async () => {
    const { id } = (
      await director.post<{ id: string }>('/api/instruments', {
        ...{ code: 'TI-01', name: 'Bench timer', kind: 'timer', calibrated: true, station: 'Ultrasound 1' },
      })
    ).body;
    const found = async (topic: string, text: string): Promise<FoundDto[]> =>
      (await reviewer.get<FoundDto[]>(`/api/review/find?topic=${topic}&text=${text}&${PERIOD}`)).body;
    for (const [topic, text, runs] of [
      ['protocol', 'ao-fresh', 1],
      ['lot', 'quill-acridine', 1],
      ['person', 'tansy', 1],
      ['specimen', 'NECK', 1],
      // It was put at the bench after the run.
      ['instrument', 'ti-0', 0],
    ] as const) {
      const [first] = await found(topic, text);
      expect([topic, first?.id]).toEqual([topic, expect.any(String)]);
      const answer = await ask(`topic=${topic}&about=${first?.id}&${PERIOD}`);
      expect([topic, ...countOf(answer, 'runs')]).toEqual([topic, runs, 1]);
      expect([topic, answer.acts]).toEqual([topic, expect.any(Number)]);
      expect(answer.acts ?? 0).toBeGreaterThan(0);
    }
    expect((await ask(`topic=instrument&about=${id}&${PERIOD}`)).lines.map(({ what }) => what)).toEqual([
      'Instrument: added',
    ]);
    const person = await ask(`topic=person&about=${technicianId}&${PERIOD}`);
    expect(person.competence).toMatchObject([{ protocolId: 'ao-fresh', runs: 1, competent: 1, alone: 0 }]);
    expect(new Set(person.lines.map(({ who }) => who))).toEqual(new Set(['Tansy Pebbleworth', null]));
    expect(await found('specimen', '%25')).toEqual([]);
    expect((await reviewer.get(`/api/review/answer?topic=lot&about=none&${PERIOD}`)).status).toBe(404);
  });

  it('says that no record exists where there is none', async () => {
    const answer = await ask(`topic=protocol&about=ao-fresh&from=2026-11-03&to=2026-11-04`);
    expect([answer.acts, answer.lines, answer.next]).toEqual([0, [], null]);
    expect(answer).toMatchObject({ from: '2026-11-03T01:00:00.000Z', to: '2026-11-05T01:00:00.000Z' });
  });

  it('pages through every act once, and exports them all', async () => {
    const query = `topic=day&about=${TODAY}&${PERIOD}`;
    const whole = await ask(`${query}&take=5`, director);
    const seqs = whole.lines.map(({ seq }) => seq);
    for (let { next } = whole; next !== null;) {
      const page: AnswerDto = await ask(`${query}&take=5&after=${next}`, director);
      seqs.push(...page.lines.map(({ seq }) => seq));
      ({ next } = page);
    }
    expect(seqs.length).toBe(whole.acts);
    expect(seqs).toEqual([...new Set(seqs)].sort((a, b) => a - b));
    const csv = (await director.get<string>(`/api/review/answer.csv?${query}`)).body;
    expect(csv.trim().split('\n').length).toBe(seqs.length + 1);
    expect(csv).toContain('Run: step ended');
  });

  it('refuses what is outside of it: days, records, and periods that are none', async () => {
    expect(await refusal('/api/review/answer?topic=day&about=2026-10-31&from=2026-10-31&to=2026-10-31')).toEqual([
      403,
      'outside-review',
    ]);
    expect(await refusal('/api/runs/made-up')).toEqual([403, 'outside-review']);
    expect(await refusal('/api/releases')).toEqual([403, 'outside-review']);
    expect(await refusal(`/api/control-days-without?from=2026-10-01&to=${TODAY}`)).toEqual([403, 'outside-review']);
    expect(await refusal('/api/control-results')).toEqual([422, 'period-needed']);
    expect(await refusal(`/api/review/answer?topic=day&about=2026-02-30&${PERIOD}`)).toEqual([422, expect.any(String)]);
    expect(await refusal('/api/review/requirements?from=2026-11-20&to=2026-11-10')).toEqual([422, 'bad-period']);
    const record = (await reviewer.get<RecordPageDto>('/api/record?take=500')).body;
    expect(record.entries.every(({ at }) => at >= '2026-11-01T01:00:00.000Z')).toBe(true);
    expect(record.entries.at(-1)?.seq).toBe(record.last);
  });

  it('kept to some protocols and areas shows no others', async () => {
    const made = await grant({ protocols: ['ao-fresh'], areas: ['bench work'] });
    expect(await refusal('/api/record')).toEqual([403, 'outside-review']);
    expect(await refusal(`/api/review/answer?topic=person&about=${technicianId}&${PERIOD}`)).toEqual([
      403,
      'outside-review',
    ]);
    expect(await refusal(`/api/review/answer?topic=protocol&about=pas&${PERIOD}`)).toEqual([403, 'outside-review']);
    expect(await refusal(`/api/control-days-without?${PERIOD}`)).toEqual([403, 'outside-review']);
    expect((await reviewer.get(`/api/control-days-without?${PERIOD}&protocol=ao-fresh`)).status).toBe(200);
    const kinds = (await ask(`topic=day&about=${TODAY}&${PERIOD}`)).lines.map(({ about }) => about.kind);
    expect(new Set(kinds)).toEqual(new Set(['run']));
    const { requirements } = (await reviewer.get<RequirementListDto>(`/api/review/requirements?${PERIOD}`)).body;
    const ids = requirements.map(({ id }) => id);
    expect([ids.includes('releases-signed'), ids.includes('trail-whole'), ids.includes('competence-current')]).toEqual([
      true,
      false,
      false,
    ]);
    expect(await refusal(`/api/review/requirements/trail-whole?${PERIOD}`)).toEqual([403, 'outside-review']);
    const revoked = await administrator.post<ReviewGrantDto>(`/api/review/grants/${made.body.id}/revocation`, {
      reason: 'too narrow',
    });
    expect(revoked.body).toMatchObject({ standing: 'revoked', revokedReason: 'too narrow' });
    expect(
      (await administrator.post(`/api/review/grants/${made.body.id}/revocation`, { reason: 'again' })).status,
    ).toBe(409);
    // The one before holds again.
    expect((await reviewer.get('/api/record')).status).toBe(200);
  });

  it('shows each requirement with its count, and one beside its records', async () => {
    const { requirements } = (await reviewer.get<RequirementListDto>(`/api/review/requirements?${PERIOD}`)).body;
    const late = requirements.find(({ id }) => id === 'recorded-at-once');
    expect(late).toMatchObject({ clause: 'ISO 15189:2022 8.4.1', state: 'gaps', gaps: 1 });
    expect(requirements.find(({ id }) => id === 'rounds-followed')).toMatchObject({ state: 'no record', records: 0 });
    const gaps = (await reviewer.get<ProofDto>(`/api/review/requirements/recorded-at-once?${PERIOD}&only=gaps`)).body;
    expect(gaps.rows).toMatchObject([{ kind: 'run', ref: run, gap: true }]);
    const all = (await reviewer.get<ProofDto>(`/api/review/requirements/recorded-at-once?${PERIOD}&take=200`)).body;
    expect(all.rows.length).toBe(late?.records);
    expect(await refusal(`/api/review/requirements/none?${PERIOD}`)).toEqual([404, 'not-found']);
  });

  it('draws a sample that anyone can draw again, and keeps the draw', async () => {
    const query = `/api/review/sample?of=control%20readings&n=2&seed=tide-7&${PERIOD}`;
    const { body } = await reviewer.get<SampleDto>(query);
    expect(body).toMatchObject({ seed: 'tide-7', population: 3 });
    // By the published algorithm with another library: sums of 'seed:id' (FIPS 180-4), the first two.
    const all = (await reviewer.get<SampleDto>(query.replace('n=2', 'n=500'))).body.members.map(({ id }) => id);
    const sum = (id: string): string => createHash('sha256').update(`tide-7:${id}`).digest('hex');
    const again = [...all].sort((a, b) => (sum(a) < sum(b) ? -1 : 1)).slice(0, 2);
    expect(body.members.map(({ id }) => id)).toEqual(again);
    const csv = (await reviewer.get<string>(`/api/review/population.csv?of=control%20readings&${PERIOD}`)).body;
    const ids = csv
      .split('\n')
      .slice(1, -1)
      .map((row) => row.split(',')[0] ?? '');
    expect([...ids].sort()).toEqual([...all].sort());
    expect(createHash('sha256').update(ids.join('\n')).digest('hex')).toBe(body.populationHash);
    const { entries } = (await director.get<RecordPageDto>('/api/record?subject=tide-7')).body;
    expect(entries.map(({ act }) => act)).toEqual(['record.sampled', 'record.sampled']);
    expect((await reviewer.get<SampleDto>(query.replace('&seed=tide-7', ''))).body.seed).toMatch(/^[0-9a-f]{16}$/);
    expect(await refusal(query.replace('tide-7', 'a%20b'))).toEqual([422, 'invalid-input']);
  });

  it('holds directors’ signatures against when they were directors', async () => {
    const people = (await administrator.get<PersonDto[]>('/api/people')).body;
    const isolde = people.find(({ login }) => login === 'isolde')?.id ?? '';
    const read = async () => (await reviewer.get<SignaturesDto>(`/api/review/signatures?${PERIOD}`)).body;
    const signed = await read();
    expect(signed.tenures).toMatchObject([{ personId: isolde, until: null }]);
    expect(signed.signatures.find(({ what }) => what === 'second signature on an exception')?.authorised).toBe(true);
    // Assessments were furnished in the names of people who may not sign them.
    expect(signed.outside).toBeGreaterThan(0);
    expect(signed.signatures[0]?.authorised).toBe(false);
    test.clock.forward(1000);
    await administrator.patch(`/api/people/${isolde}`, { roles: ['technician'] });
    const after = await read();
    expect(after.tenures[0]?.until).toEqual(expect.any(String));
    expect(after.outside).toBe(signed.outside);
  });

  it('shows second looks on the releases within it, and what places are called', async () => {
    const fixed = { kind: 'into fixative', at: test.clock.now(), fixative: 'nbf-10' };
    const tansy = await test.signIn('tansy');
    expect((await tansy.post(`/api/subjects/${furnished.core}/moments`, fixed)).status).toBe(201);
    const list = `/api/second-looks/releases?list=${encodeURIComponent('looked at again')}`;
    const seen = async () => {
      const looks = (await reviewer.get<SecondLookListDto>('/api/second-looks')).body.items;
      const releases = (await reviewer.get<LookedAtListDto>(list)).body.items;
      return { looks: looks.map(({ cause }) => cause), releases: releases.map(({ release }) => release.runId) };
    };
    expect(await seen()).toEqual({ looks: ['tissue times told'], releases: [run] });
    const [look] = (await reviewer.get<SecondLookListDto>('/api/second-looks')).body.items;
    expect((await reviewer.get(`/api/second-looks/${look?.id}`)).status).toBe(200);
    expect((await reviewer.get('/api/place-names')).status).toBe(200);
    for (const changes of [{ protocols: ['pas'] }, { toDay: '2026-11-02' }]) {
      const made = await grant(changes);
      expect(await seen()).toEqual({ looks: [], releases: [] });
      expect(await refusal(`/api/second-looks/${look?.id}`)).toEqual([403, 'outside-review']);
      await administrator.post(`/api/review/grants/${made.body.id}/revocation`, { reason: 'too narrow' });
    }
    const stock = await grant({ areas: ['stock'] });
    expect(await refusal('/api/second-looks')).toEqual([403, 'outside-review']);
    await administrator.post(`/api/review/grants/${stock.body.id}/revocation`, { reason: 'too narrow' });
  });

  it('writes nothing, and ends with its last day', async () => {
    expect((await reviewer.post<Refused>('/api/notices/seen', {})).status).toBe(403);
    test.clock.forward(6 * DAY_MS);
    reviewer = await test.signIn('quennel');
    const { status, body } = await reviewer.get<Refused>(`/api/review/requirements?${PERIOD}`);
    expect([status, body.code]).toEqual([403, 'review-closed']);
    expect(body.detail).toContain('ended on 2026-12-01T01:00:00.000Z');
    expect((await reviewer.get('/api/session')).status).toBe(200);
    const { verifyRecord } = await import('../../src/store/questions/verify.js');
    const faults = await test.store.read(LABORATORY, async (view) => {
      const found = [];
      for await (const fault of verifyRecord(view).faults) found.push(fault);
      return found;
    });
    expect(faults.filter(({ table }) => table.startsWith('review') || table === 'look')).toEqual([]);
  });
});
