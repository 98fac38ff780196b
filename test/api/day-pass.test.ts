import { generateKeyPairSync, type KeyObject, sign } from 'node:crypto';
import { beforeAll, expect, it } from '@jest/globals';
import type { DayPassDto, SessionDto } from '../../src/contract/people.dto.js';
import type { JudgementDto } from '../../src/contract/run-view.dto.js';
import type { RunEvent } from '../../src/core/run/events.js';
import { passText, takeOverText } from '../../src/core/run/day-pass.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

const PIN = '280613';

interface Refused {
  code: string;
}

describeOnEachDatabase('A day pass', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let corvin: string;
  let badge: string;
  let key: KeyObject;
  let publicKey: string;
  let pass: DayPassDto;

  beforeAll(async () => {
    furnished = await furnish(test);
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    corvin = await test.createPerson('corvin', ['releaser', 'director'], 'Corvin Lanternquay');
    await test.createPerson('brindle', ['administrator'], 'Brindle Ashe');
    const made = await (
      await test.signIn('corvin')
    ).post<{ label: string }>('/api/session/badge', {
      pin: PIN,
      password: PASSWORD,
    });
    badge = made.body.label;
    const pair = generateKeyPairSync('ec', { namedCurve: 'P-256' });
    key = pair.privateKey;
    publicKey = pair.publicKey.export({ type: 'spki', format: 'der' }).toString('base64url');
  });

  /** As a browser proves it (FIPS 186-5, P1363 form); made here by OpenSSL and not by the program. */
  const prove = (text: string): string =>
    sign('sha256', Buffer.from(text), { key, dsaEncoding: 'ieee-p1363' }).toString('base64url');

  const sessionOf = (answer: { headers: Headers; body: SessionDto }): Client =>
    new Client(test.url, {
      cookie: answer.headers.getSetCookie()[0]?.split(';')[0] ?? '',
      'x-csrf-token': answer.body.csrf,
    });

  async function enter(as: Client, runId: string, text: string, changed = text) {
    const id = text.replaceAll(' ', '-');
    const stamp = {
      ...{ at: test.clock.now(), uncertaintyMs: 5, device: 'bench 2', monotonicMs: null },
      ...{ offsetMs: 0, roundTripMs: 4, late: false },
    };
    const event = { kind: 'noted', data: { text }, stamp } as const;
    const proof = prove(passText({ pass: pass.id, key: id, runId, ...event }));
    const body = { ...event, data: { text: changed }, pass: { id: pass.id, proof } };
    return as.post<{ event: RunEvent } & Refused>(`/api/runs/${runId}/events`, body, {
      headers: { 'Idempotency-Key': id },
    });
  }

  it('is given to who took over by badge and PIN, for a key on the right curve', async () => {
    const tansy = await test.signIn('tansy');
    const give = (as: Client, named: string) =>
      as.post<DayPassDto & Refused>('/api/session/day-pass', { publicKey: named });
    expect((await give(tansy, publicKey)).body.code).toBe('badge-needed');
    const taken = await tansy.post<SessionDto>('/api/session/hand-over', { badge, pin: PIN });
    const client = sessionOf(taken);
    const other = generateKeyPairSync('ec', { namedCurve: 'P-384' }).publicKey;
    const wrong = other.export({ type: 'spki', format: 'der' }).toString('base64url');
    expect([(await give(client, wrong)).body.code, (await give(client, 'AAAA')).body.code]).toEqual([
      'no-pass-key',
      'no-pass-key',
    ]);
    const given = await give(client, publicKey);
    expect(given.status).toBe(201);
    pass = given.body;
    expect(pass.endsAt > test.clock.now()).toBe(true);
  });

  it('says who acted, whoever sends it, and stays marked in the run, the record and at the gate', async () => {
    const tansy = await test.signIn('tansy');
    const runId = await new Bench(test, tansy, furnished).start();
    const kept = await enter(tansy, runId, 'dropped the lid');
    expect([kept.status, kept.body.event.personId, kept.body.event.stamp.pass?.id]).toEqual([201, corvin, pass.id]);
    expect((await enter(tansy, runId, 'dropped the lid')).body.event.id).toBe(kept.body.event.id);
    const [entry] = await test.store.read(LABORATORY, (view) =>
      view.all(RecordRow, { act: 'run.noted' }, { order: { seq: 'DESC' } }),
    );
    expect(JSON.parse(entry?.body ?? '')).toMatchObject({ actor: { person: corvin }, data: { pass: pass.id } });
    const { body } = await tansy.get<JudgementDto>(`/api/runs/${runId}/judgement`);
    expect(body.subjects[0]?.points[0]?.findings).toContainEqual(
      expect.objectContaining({ rule: 'under-day-pass', weight: 'note' }),
    );
    expect((await enter(tansy, runId, 'another text', 'made up')).body.code).toBe('day-pass-proof');
  });

  it('takes the session over once, for work at the bench alone', async () => {
    const tansy = await test.signIn('tansy');
    const csrf = tansy.headers['x-csrf-token'] ?? '';
    const asked = { pass: pass.id, proof: prove(takeOverText(pass.id, csrf)) };
    const taken = await tansy.post<SessionDto>('/api/session/hand-over/day-pass', asked);
    expect([taken.status, taken.body.person.name, taken.body.person.roles]).toEqual([
      200,
      'Corvin Lanternquay',
      ['releaser'],
    ]);
    // A pass makes no further pass, or whoever has the device would need no PIN for ever.
    const more = await sessionOf(taken).post<Refused>('/api/session/day-pass', { publicKey });
    expect(more.body.code).toBe('badge-needed');
    const other = await (await test.signIn('tansy')).post<Refused>('/api/session/hand-over/day-pass', asked);
    expect([other.status, other.body.code]).toEqual([403, 'day-pass-proof']);
  });

  it('ends with its day, and with the badge that opened it', async () => {
    const runId = await new Bench(test, await test.signIn('tansy'), furnished).start();
    test.clock.forward(24 * 3_600_000);
    expect((await enter(await test.signIn('tansy'), runId, 'a day later')).body.code).toBe('day-pass-ended');
    test.clock.forward(-24 * 3_600_000);
    const brindle = await test.signIn('brindle');
    expect((await brindle.delete(`/api/people/${corvin}/badge`)).status).toBe(204);
    const tansy = await test.signIn('tansy');
    const { status, body } = await enter(tansy, runId, 'with a badge that was lost');
    expect([status, body.code]).toEqual([403, 'day-pass-badge']);
  });
});
