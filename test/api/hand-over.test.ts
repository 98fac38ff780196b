import { beforeAll, expect, it } from '@jest/globals';
import type { HandOverNotesDto } from '../../src/contract/hand-over.dto.js';
import type { BadgeLabelDto, PersonDto, SessionDto } from '../../src/contract/people.dto.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { Client, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, type Furnished, furnish } from '../support/furnish.js';
import { onProgram, test } from '../support/stage.js';

const PIN = '280613';
const KEY = { 'Idempotency-Key': 'a-note-once' };

interface Refused {
  code: string;
}

describeOnEachDatabase('Handing a station over', (fresh) => {
  onProgram(fresh);

  let furnished: Furnished;
  let corvin: string;
  let badge: string;

  beforeAll(async () => {
    furnished = await furnish(test);
    await test.createPerson('tansy', ['technician'], 'Tansy Pebbleworth');
    corvin = await test.createPerson('corvin', ['releaser', 'director'], 'Corvin Lanternquay');
    await test.createPerson('brindle', ['administrator'], 'Brindle Ashe');
    badge = await badgeOf('corvin');
  });

  async function badgeOf(login: string): Promise<string> {
    const client = await test.signIn(login);
    const made = await client.post<{ label: string }>('/api/session/badge', { pin: PIN, password: PASSWORD });
    expect(made.status).toBe(201);
    return made.body.label;
  }

  async function handOver(from: Client, asked: { badge: string; pin: string }) {
    const answer = await from.post<SessionDto & Refused>('/api/session/hand-over', asked);
    const cookie = answer.headers.getSetCookie()[0]?.split(';')[0] ?? '';
    return { ...answer, client: new Client(test.url, { cookie, 'x-csrf-token': answer.body.csrf }) };
  }

  it('changes the person in one step, for work at the bench alone, and signs the one before out', async () => {
    const tansy = await test.signIn('tansy');
    const runId = await new Bench(test, tansy, furnished).start();
    const { status, body, client } = await handOver(tansy, { badge: badge.toLowerCase(), pin: PIN });
    expect([status, body.person.name, body.person.roles]).toEqual([200, 'Corvin Lanternquay', ['releaser']]);
    expect((await tansy.get('/api/session')).status).toBe(401);

    const bench = new Bench(test, client, furnished, 'station-2');
    const { status: kept, body: noted } = await bench.event(runId, 'noted', { text: 'taken over' });
    expect([kept, (noted as unknown as { event: { personId: string } }).event.personId]).toEqual([201, corvin]);
    // What is the director's alone needs the password: a badge opens no such session.
    const { status: signed } = await client.post('/api/policies', {});
    expect(signed).toBe(403);
    const entries = await test.store.read(LABORATORY, (view) =>
      view.all(RecordRow, { act: 'person.took-over' }, { order: { seq: 'ASC' } }),
    );
    expect(entries.map(({ body: text }) => text)).toEqual([expect.stringContaining(corvin)]);
    expect(entries[0]?.body).not.toContain(badge);
  });

  it('says the same of a badge that nobody has as of a wrong PIN, and waits longer with each', async () => {
    const tansy = await test.signIn('tansy');
    const other = await handOver(tansy, { badge: 'SW1:B:0000-00001', pin: PIN });
    const wrong = await handOver(tansy, { badge, pin: '280614' });
    expect([wrong.status, wrong.body.code]).toEqual([403, 'badge-or-pin']);
    expect([other.status, other.body.code]).toEqual([403, 'badge-or-pin']);
    await handOver(tansy, { badge, pin: '280614' });
    await handOver(tansy, { badge, pin: '280614' });
    expect((await handOver(tansy, { badge, pin: PIN })).body.code).toBe('badge-or-pin');
    test.clock.forward(60_000);
    expect((await handOver(tansy, { badge, pin: PIN })).status).toBe(200);
  });

  it('refuses a PIN that is easily guessed, a wrong password and a person with nothing to do at the bench', async () => {
    const brindle = await test.signIn('brindle');
    const make = async (asked: object): Promise<[number, string]> => {
      const { status, body } = await brindle.post<Refused>('/api/session/badge', asked);
      return [status, body.code];
    };
    expect(await make({ pin: '123456', password: PASSWORD })).toEqual([422, 'weak-pin']);
    expect(await make({ pin: PIN, password: 'not hers' })).toEqual([403, 'wrong-password']);
    const own = await badgeOf('brindle');
    const tansy = await test.signIn('tansy');
    // A right PIN is no guess, however often it is of no use.
    for (let n = 0; n < 7; n++) {
      expect((await handOver(tansy, { badge: own, pin: PIN })).body.code).toBe('no-bench-role');
    }
  });

  it('ends with the password, which somebody else may have known', async () => {
    const own = await badgeOf('tansy');
    const tansy = await test.signIn('tansy');
    const changed = await tansy.post('/api/session/password', {
      password: PASSWORD,
      newPassword: 'samphire gull quay 7',
    });
    expect(changed.status).toBe(204);
    expect((await handOver(await test.signIn('corvin'), { badge: own, pin: PIN })).status).toBe(403);
    const brindle = await test.signIn('brindle');
    const again = await tansy.post<{ label: string }>('/api/session/badge', {
      pin: PIN,
      password: 'samphire gull quay 7',
    });
    const { body } = await brindle.get<{ id: string; login: string }[]>('/api/people');
    const id = body.find(({ login }) => login === 'tansy')?.id;
    expect((await brindle.patch(`/api/people/${id}`, { password: PASSWORD })).status).toBe(200);
    expect((await handOver(await test.signIn('corvin'), { badge: again.body.label, pin: PIN })).status).toBe(403);
  });

  it('is given by an administrator in print, once, and serves when its owner has set the PIN', async () => {
    const brindle = await test.signIn('brindle');
    const ombre = await test.createPerson('ombre', ['technician'], 'Ombre Tidemeadow');
    expect((await (await test.signIn('tansy')).post(`/api/people/${ombre}/badge`)).status).toBe(403);
    const given = await brindle.post<BadgeLabelDto>(`/api/people/${ombre}/badge`);
    const { label, pdf } = given.body;
    expect([given.status, given.headers.get('cache-control')]).toEqual([201, 'no-store']);
    expect(Buffer.from(pdf, 'base64').subarray(0, 5).toString()).toBe('%PDF-');

    // Who gave it holds the badge and knows no PIN.
    const shown = async (): Promise<[boolean, boolean]> => {
      const found = (await brindle.get<PersonDto[]>('/api/people')).body.find(({ id }) => id === ombre);
      return [found?.badgeSince != null, found?.badgeWithoutPin === true];
    };
    expect(await shown()).toEqual([true, true]);
    expect((await handOver(await test.signIn('corvin'), { badge: label, pin: PIN })).body.code).toBe('badge-or-pin');
    const set = async (login: string, asked: object): Promise<[number, string]> => {
      const { status, body } = await (
        await test.signIn(login)
      ).post<Refused>('/api/session/badge/pin', {
        ...{ badge: label, pin: PIN, password: PASSWORD },
        ...asked,
      });
      return [status, body.code];
    };
    expect(await set('corvin', {})).toEqual([409, 'not-own-badge']);
    expect(await set('ombre', { badge: 'SW1:B:0000-00001' })).toEqual([409, 'not-own-badge']);
    expect(await set('ombre', { password: 'not hers' })).toEqual([403, 'wrong-password']);
    expect(await set('ombre', { pin: '111111' })).toEqual([422, 'weak-pin']);
    expect((await set('ombre', { badge: label.toLowerCase() }))[0]).toBe(204);
    expect(await set('ombre', { pin: '826013' })).toEqual([409, 'badge-has-pin']);
    expect(await shown()).toEqual([true, false]);
    const taken = await handOver(await test.signIn('corvin'), { badge: label, pin: PIN });
    expect([taken.status, taken.body.person.name]).toEqual([200, 'Ombre Tidemeadow']);

    const record = await test.store.read(LABORATORY, (view) => view.all(RecordRow, {}, { order: { seq: 'ASC' } }));
    const acts = record.filter(({ body }) => body.includes(ombre)).map(({ act }) => act);
    expect(acts).toEqual(expect.arrayContaining(['person.badge-given', 'person.badge-pin-set']));
    expect(record.filter(({ body }) => body.includes(label.slice(6)))).toEqual([]);
    const own = (await brindle.get<PersonDto[]>('/api/people')).body.find(({ login }) => login === 'brindle');
    expect((await brindle.post<Refused>(`/api/people/${own?.id}/badge`)).body.code).toBe('no-use-for-badge');
  });

  it('comes with notes of the person before, kept as facts, open until somebody saw to them, newest first', async () => {
    const tansy = await test.signIn('tansy');
    const text = '  Bath 3 foams; filtered twice. ';
    const left = await tansy.post<{ id: string }>('/api/hand-over/notes', { text }, { headers: KEY });
    expect(left.status).toBe(201);
    const again = await tansy.post<{ id: string }>('/api/hand-over/notes', { text }, { headers: KEY });
    expect(again.body.id).toBe(left.body.id);
    expect((await tansy.post<Refused>('/api/hand-over/notes', { text: ' ' })).body.code).toBe('empty-note');
    expect((await (await test.signIn('brindle')).post('/api/hand-over/notes', { text: 'x' })).status).toBe(403);
    test.clock.forward(3_600_000);
    await (await test.signIn('corvin')).post('/api/hand-over/notes', { text: 'The filter paper is in drawer 2.' });
    const notes = async () => (await tansy.get<HandOverNotesDto>('/api/hand-over/notes')).body.items;
    expect((await notes()).map((note) => [note.person, note.text])).toEqual([
      ['Corvin Lanternquay', 'The filter paper is in drawer 2.'],
      ['Tansy Pebbleworth', 'Bath 3 foams; filtered twice.'],
    ]);
    const [entry] = await test.store.read(LABORATORY, (view) =>
      view.all(RecordRow, { act: 'hand-over.noted' }, { order: { seq: 'ASC' } }),
    );
    expect(JSON.parse(entry?.body ?? '')).toMatchObject({ rows: [{ table: 'hand_over_note', id: left.body.id }] });
    expect(entry?.body).not.toContain('foams');

    const done = `/api/hand-over/notes/${left.body.id}/done`;
    const corvins = await test.signIn('corvin');
    expect((await (await test.signIn('brindle')).post(done)).status).toBe(403);
    expect((await corvins.post('/api/hand-over/notes/none/done')).status).toBe(404);
    const seen = { id: left.body.id, person: 'Tansy Pebbleworth', done: { person: 'Corvin Lanternquay' } };
    const see = () => corvins.post(done, {}, { headers: { 'Idempotency-Key': 'seen-once' } });
    const first = await see();
    expect([first.status, first.body]).toMatchObject([200, seen]);
    expect((await see()).body).toEqual(first.body);
    const { status: twice, body: said } = await tansy.post<Refused & { detail: string }>(done);
    expect([twice, said.code]).toEqual([409, 'note-seen-to']);
    expect(said.detail).toContain('Corvin Lanternquay saw to it');
    const last = 'Order more filter paper.';
    await tansy.post('/api/hand-over/notes', { text: last });
    expect((await notes()).map((note) => [note.text, note.done?.person])).toEqual([
      [last, undefined],
      ['The filter paper is in drawer 2.', undefined],
      ['Bath 3 foams; filtered twice.', 'Corvin Lanternquay'],
    ]);
    const lastSeen = 8 * 24 * 3_600_000;
    test.clock.forward(lastSeen);
    const still = await (await test.signIn('tansy')).get<HandOverNotesDto>('/api/hand-over/notes');
    expect(still.body.items.map(({ id }) => id)).toContain(left.body.id);
    test.clock.forward(1);
    const later = await (await test.signIn('tansy')).get<HandOverNotesDto>('/api/hand-over/notes');
    expect(later.body.items.map(({ text: open }) => open)).toEqual([last, 'The filter paper is in drawer 2.']);
    test.clock.forward(-lastSeen - 3_600_001);
  });

  it('ends with a new badge, and when it was lost', async () => {
    const newer = await badgeOf('corvin');
    expect((await handOver(await test.signIn('tansy'), { badge, pin: PIN })).status).toBe(403);
    const brindle = await test.signIn('brindle');
    const since = async (): Promise<string | null | undefined> =>
      (await brindle.get<PersonDto[]>('/api/people')).body.find(({ id }) => id === corvin)?.badgeSince;
    expect(await since()).toMatch(/^2026-/);
    expect((await brindle.delete(`/api/people/${corvin}/badge`)).status).toBe(204);
    expect(await since()).toBeNull();
    expect((await brindle.delete(`/api/people/${corvin}/badge`)).status).toBe(404);
    expect((await handOver(await test.signIn('tansy'), { badge: newer, pin: PIN })).status).toBe(403);
  });
});
