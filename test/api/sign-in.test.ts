import { beforeEach, expect, it } from '@jest/globals';
import { parseOptions } from '@node-rs/argon2';
import type { SessionDto } from '../../src/contract/people.dto.js';
import { entriesAfter } from '../../src/store/questions/entries.js';
import { PersonRow, SessionRow } from '../../src/store/rows/people.entity.js';
import { type Answer, LABORATORY, PASSWORD } from '../support/app.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { onProgram, test } from '../support/stage.js';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;

interface Told {
  code: string;
  retryAfterSeconds?: number;
}

describeOnEachDatabase('Signing in', (fresh) => {
  onProgram(fresh, { each: true });

  beforeEach(async () => {
    await test.createPerson('brindle.ashe', ['technician'], 'Brindle Ashe');
  });

  const tryWith = (login: string, password: string): Promise<Answer<Told>> =>
    test.nobody.post<Told>('/api/session', { login, password });
  const acts = async (): Promise<string[]> =>
    (await test.store.read(LABORATORY, (view) => entriesAfter(view, 0, 1000))).map(({ act }) => act);

  it('tells who is signed in and where, and sets a cookie that no script and no other site gets', async () => {
    const { status, headers, body } = await test.nobody.post<SessionDto>('/api/session', {
      login: ' Brindle.Ashe',
      password: PASSWORD,
    });
    expect(status).toBe(200);
    expect(body).toEqual({
      person: { id: expect.any(String), name: 'Brindle Ashe', login: 'brindle.ashe', roles: ['technician'] },
      csrf: expect.stringMatching(/^[\w-]{43}$/),
      laboratory: { id: LABORATORY, name: 'Saltmarrow Hospital', zone: 'Atlantic/Azores', demo: false },
    });
    const [cookie = ''] = headers.getSetCookie();
    expect(cookie).toMatch(/^stainwright_session=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict$/);
    const again = await (await test.signIn('brindle.ashe')).get<SessionDto>('/api/session');
    expect(again.body.person).toEqual(body.person);
  });

  it('keeps only the hash of the cookie’s secret', async () => {
    const { headers } = await test.nobody.post('/api/session', { login: 'brindle.ashe', password: PASSWORD });
    const secret = /=([\w-]+)/.exec(headers.getSetCookie()[0] ?? '')?.[1] ?? '';
    const sessions = await test.store.read(LABORATORY, (view) => view.all(SessionRow));
    expect(sessions).toHaveLength(1);
    expect(JSON.stringify(sessions)).not.toContain(secret);
  });

  it('ends with signing out, for that browser alone', async () => {
    const [one, other] = [await test.signIn('brindle.ashe'), await test.signIn('brindle.ashe')];
    expect((await one.delete('/api/session')).status).toBe(204);
    expect((await one.get<Told>('/api/session')).body.code).toBe('sign-in-needed');
    expect((await other.get('/api/session')).status).toBe(200);
  });

  it('ends two hours after the last use, and twelve hours after its begin however much it is used', async () => {
    const idle = await test.signIn('brindle.ashe');
    test.clock.forward(2 * HOUR - 1);
    expect((await idle.get('/api/session')).status).toBe(200);
    test.clock.forward(2 * HOUR);
    expect((await idle.get('/api/session')).status).toBe(401);
    const busy = await test.signIn('brindle.ashe');
    for (let hour = 1; hour < 12; hour += 1) {
      test.clock.forward(HOUR);
      expect((await busy.get('/api/session')).status).toBe(200);
    }
    test.clock.forward(HOUR);
    expect((await busy.get('/api/session')).status).toBe(401);
    await test.signIn('brindle.ashe');
    expect(await test.store.read(LABORATORY, (view) => view.count(SessionRow))).toBe(1);
  });

  it('is slowed by wrong passwords, even for the right one, until the wait is over', async () => {
    for (let tries = 0; tries < 3; tries += 1) expect((await tryWith('brindle.ashe', 'wrong')).status).toBe(401);
    const waits = await tryWith('brindle.ashe', PASSWORD);
    expect(waits).toMatchObject({ status: 429, body: { code: 'account-waits', retryAfterSeconds: 1 } });
    expect(waits.headers.get('retry-after')).toBe('1');
    test.clock.forward(1000);
    expect((await tryWith('brindle.ashe', 'wrong')).status).toBe(401);
    test.clock.forward(1999);
    expect((await tryWith('brindle.ashe', PASSWORD)).status).toBe(429);
    test.clock.forward(1);
    expect((await tryWith('brindle.ashe', PASSWORD)).status).toBe(200);
    expect((await tryWith('brindle.ashe', 'wrong')).status).toBe(401);
    expect((await tryWith('brindle.ashe', PASSWORD)).status).toBe(200);
  });

  it('lets no more guesses through when many arrive at once', async () => {
    const answers = await Promise.all(Array.from({ length: 20 }, () => tryWith('brindle.ashe', 'wrong')));
    expect(answers.filter(({ status }) => status === 401)).toHaveLength(3);
    expect(answers.filter(({ status }) => status === 429)).toHaveLength(17);
  });

  it('answers the same for a login that nobody has, and for one that was disabled', async () => {
    await test.createPerson('gone', ['technician']);
    const administrator = await test.as('administrator');
    const { body: people } = await administrator.get<{ id: string; login: string }[]>('/api/people');
    const gone = people.find(({ login }) => login === 'gone')!;
    await administrator.patch(`/api/people/${gone.id}`, { disabled: true });
    for (const login of ['nobody.here', 'gone', 'brindle.ashe']) {
      const answers = [];
      for (let tries = 0; tries < 4; tries += 1)
        answers.push(await tryWith(login, login === 'gone' ? PASSWORD : 'wrong'));
      expect(answers.map(({ status, body: { code, retryAfterSeconds } }) => [status, code, retryAfterSeconds])).toEqual(
        [
          [401, 'sign-in-failed', undefined],
          [401, 'sign-in-failed', undefined],
          [401, 'sign-in-failed', undefined],
          [429, 'account-waits', 1],
        ],
      );
    }
  });

  it('stands in the record, failures too, without what was typed', async () => {
    await tryWith('brindle.ashe', 'typed-password');
    await tryWith('typed-as-login', 'typed-password');
    await (await test.signIn('brindle.ashe')).delete('/api/session');
    expect((await acts()).slice(-4)).toEqual([
      'person.sign-in-failed',
      'person.sign-in-failed',
      'person.signed-in',
      'person.signed-out',
    ]);
    const record = await test.store.read(LABORATORY, (view) => entriesAfter(view, 0, 1000));
    expect(JSON.stringify(record)).not.toMatch(/typed-/);
  });

  it('changes the own password, asks for the old one and ends the other sessions', async () => {
    const [one, other] = [await test.signIn('brindle.ashe'), await test.signIn('brindle.ashe')];
    const newPassword = 'driftwood otter barnacle';
    const wrong = await one.post<Told>('/api/session/password', { password: 'wrong', newPassword });
    expect(wrong).toMatchObject({ status: 403, body: { code: 'wrong-password' } });
    const weak = await one.post<Told>('/api/session/password', { password: PASSWORD, newPassword: 'short' });
    expect(weak).toMatchObject({
      status: 422,
      body: {
        code: 'weak-password',
        problems: [{ at: 'newPassword', message: expect.stringContaining('at least 12') }],
      },
    });
    expect((await one.post('/api/session/password', { password: PASSWORD, newPassword })).status).toBe(204);
    expect((await one.get('/api/session')).status).toBe(200);
    expect((await other.get('/api/session')).status).toBe(401);
    expect((await tryWith('brindle.ashe', PASSWORD)).status).toBe(401);
    expect((await tryWith('brindle.ashe', newPassword)).status).toBe(200);
  });

  // OWASP Password Storage Cheat Sheet, Argon2id (from memory): 19 MiB (m=19456), t=2, p=1.
  it('hashes with the cost that OWASP gives for Argon2id', async () => {
    const one = await test.signIn('brindle.ashe');
    await one.post('/api/session/password', { password: PASSWORD, newPassword: 'driftwood otter barnacle' });
    const person = await test.store.read(LABORATORY, (view) => view.one(PersonRow, { login: 'brindle.ashe' }));
    expect(person?.passwordHash).toMatch(/^\$argon2id\$/);
    expect(parseOptions(person?.passwordHash ?? '')).toMatchObject({ memoryCost: 19_456, timeCost: 2, parallelism: 1 });
  });
});
