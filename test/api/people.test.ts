import { afterEach, beforeEach, expect, it } from '@jest/globals';
import type { DeviceDto, DeviceWithTokenDto, PersonDto, SessionDto } from '../../src/contract/people.dto.js';
import { SetupLinks } from '../../src/modules/people/setup-links.js';
import { entriesAfter } from '../../src/store/questions/entries.js';
import { AnsweredRequestRow } from '../../src/store/rows/record.entity.js';
import { type Answer, Client, LABORATORY, PASSWORD, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

interface Told {
  code: string;
  problems?: { at: string; message: string }[];
}

const newcomer = { name: 'Sorrel Vane', login: 'sorrel.vane', roles: ['technician'], password: PASSWORD };

describeOnEachDatabase('The first set-up', (fresh) => {
  let database: FreshDatabase;
  let test: TestApp;

  beforeEach(async () => {
    database = await fresh();
    test = await startApp(database, { laboratory: false });
  });

  afterEach(async () => {
    await test.stop();
    await database.drop();
  });

  const link = (): Promise<string | null> => test.app.get(SetupLinks).makeForFirstPerson();
  const setUp = (token: string | null, more: object = {}): Promise<Answer<Told>> =>
    test.nobody.post<Told>('/api/setup', {
      token,
      laboratory: { name: 'Saltmarrow Hospital', zone: 'Atlantic/Azores' },
      name: 'Mallow Quay',
      login: 'mallow.quay',
      password: PASSWORD,
      ...more,
    });

  it('makes the laboratory and its administrator, once', async () => {
    const token = await link();
    expect((await setUp(token)).status).toBe(204);
    const { body } = await (await test.signIn('mallow.quay')).get<SessionDto>('/api/session');
    expect(body.person.roles).toEqual(['administrator']);
    expect(body.laboratory).toEqual({
      id: LABORATORY,
      name: 'Saltmarrow Hospital',
      zone: 'Atlantic/Azores',
      demo: false,
    });
    expect(await setUp(token, { login: 'second' })).toMatchObject({ status: 403, body: { code: 'set-up-link-over' } });
    expect(await link()).toBeNull();
  });

  it('refuses a link that is made up, older than a day, or replaced by a newer one', async () => {
    expect((await setUp('made-up')).body.code).toBe('set-up-link-over');
    const [old, token] = [await link(), await link()];
    expect((await setUp(old)).body.code).toBe('set-up-link-over');
    test.clock.forward(24 * 60 * 60 * 1000);
    expect((await setUp(token)).body.code).toBe('set-up-link-over');
    expect((await setUp(await link())).status).toBe(204);
  });

  it('refuses what cannot be, and the link still works after it', async () => {
    const token = await link();
    expect(await setUp(token, { password: 'short' })).toMatchObject({ status: 422, body: { code: 'weak-password' } });
    expect(await setUp(token, { laboratory: undefined })).toMatchObject({
      status: 422,
      body: { code: 'laboratory-needed', problems: [{ at: 'laboratory' }] },
    });
    const nowhere = await setUp(token, { laboratory: { name: 'Saltmarrow Hospital', zone: 'Outer/Quill' } });
    expect(nowhere).toMatchObject({ status: 422, body: { code: 'unknown-zone' } });
    expect((await setUp(token)).status).toBe(204);
  });
});

describeOnEachDatabase('People and devices', (fresh) => {
  let database: FreshDatabase;
  let test: TestApp;
  let administrator: Client;

  beforeEach(async () => {
    database = await fresh();
    test = await startApp(database);
    administrator = await test.as('administrator');
  });

  afterEach(async () => {
    await test.stop();
    await database.drop();
  });

  it('are added, listed and able to sign in', async () => {
    const { status, body } = await administrator.post<PersonDto>('/api/people', newcomer);
    expect(status).toBe(201);
    expect(body).toEqual({
      id: expect.any(String),
      name: 'Sorrel Vane',
      login: 'sorrel.vane',
      roles: ['technician'],
      disabled: false,
      lockedUntil: null,
      badgeSince: null,
      badgeWithoutPin: false,
      createdAt: '2026-11-25T09:00:00.000Z',
    });
    expect((await administrator.get<PersonDto[]>('/api/people')).body).toContainEqual(body);
    await test.signIn('sorrel.vane');
    const taken = await administrator.post<Told>('/api/people', newcomer);
    expect(taken).toMatchObject({ status: 409, body: { code: 'login-taken' } });
  });

  it('have every mistake told with its place', async () => {
    const { status, body } = await administrator.post<Told>('/api/people', {
      name: '',
      login: 'Sorrel Vane',
      roles: ['technician', 'emperor'],
      colour: 'green',
    });
    expect(status).toBe(422);
    expect(body.problems?.map(({ at }) => at).sort()).toEqual(['colour', 'login', 'name', 'password', 'roles']);
    expect(body.problems?.find(({ at }) => at === 'login')?.message).toContain('such as brindle.ashe');
    const both = await administrator.post<Told>('/api/people', { ...newcomer, roles: ['reviewer', 'director'] });
    expect(both).toMatchObject({ status: 422, body: { code: 'bad-roles', problems: [{ at: 'roles' }] } });
    const nothing = await administrator.patch<Told>('/api/people/whoever', {});
    expect(nothing).toMatchObject({ status: 422, body: { code: 'nothing-to-change' } });
  });

  it('are added once however often the request is repeated, and the key serves no other request', async () => {
    const once = { headers: { 'idempotency-key': 'k-1' } };
    const answers = await Promise.all(
      [1, 2, 3].map(() => administrator.post<PersonDto>('/api/people', newcomer, once)),
    );
    expect(answers.map(({ status }) => status)).toEqual([201, 201, 201]);
    expect(new Set(answers.map(({ body }) => body.id)).size).toBe(1);
    const other = await administrator.post<Told>('/api/people', { ...newcomer, login: 'other' }, once);
    expect(other).toMatchObject({ status: 409, body: { code: 'key-reused' } });
    const bad = await administrator.post<Told>('/api/people', newcomer, { headers: { 'idempotency-key': 'k 1' } });
    expect(bad).toMatchObject({ status: 422, body: { code: 'bad-idempotency-key' } });
  });

  it('lose their sessions when they are disabled or get another password, and see new roles at once', async () => {
    const { body } = await administrator.post<PersonDto>('/api/people', newcomer);
    const person = await test.signIn('sorrel.vane');
    expect((await person.get('/api/devices')).status).toBe(403);
    await administrator.patch(`/api/people/${body.id}`, { roles: ['administrator'] });
    expect((await person.get('/api/devices')).status).toBe(200);
    await administrator.patch(`/api/people/${body.id}`, { password: 'driftwood otter barnacle' });
    expect((await person.get('/api/session')).status).toBe(401);
    const again = await test.signIn('sorrel.vane', 'driftwood otter barnacle');
    await administrator.patch(`/api/people/${body.id}`, { disabled: true });
    expect((await again.get('/api/session')).status).toBe(401);
  });

  it('keep at least one administrator', async () => {
    const { body: people } = await administrator.get<PersonDto[]>('/api/people');
    const path = `/api/people/${people[0]!.id}`;
    for (const change of [{ disabled: true }, { roles: ['technician'] }]) {
      const refused = await administrator.patch<Told>(path, change);
      expect(refused).toMatchObject({ status: 409, body: { code: 'last-administrator' } });
    }
    expect((await administrator.get('/api/devices')).status).toBe(200);
    expect((await administrator.patch<Told>('/api/people/nobody', { disabled: true })).status).toBe(404);
  });

  it('act with a token that is shown once, until it is revoked', async () => {
    const asked = { name: 'Ultrasound 1', roles: ['technician'] };
    const once = { headers: { 'idempotency-key': 'device-1' } };
    const { body } = await administrator.post<DeviceWithTokenDto>('/api/devices', asked, once);
    expect(body.token).toMatch(/^[\w-]{43}$/);
    const repeat = await administrator.post<DeviceWithTokenDto>('/api/devices', asked, once);
    expect(repeat.body).toEqual({ ...body, token: null });
    const device = new Client(test.url, { authorization: `Bearer ${body.token}` });
    expect(await device.get<Told>('/api/session')).toMatchObject({ status: 403, body: { code: 'person-needed' } });
    expect(await device.get<Told>('/api/devices')).toMatchObject({ status: 403, body: { code: 'role-needed' } });
    expect((await administrator.delete(`/api/devices/${body.id}`)).status).toBe(204);
    expect(await device.get<Told>('/api/session')).toMatchObject({ status: 401, body: { code: 'unknown-token' } });
    const { body: devices } = await administrator.get<DeviceDto[]>('/api/devices');
    expect(devices).toEqual([expect.objectContaining({ name: 'Ultrasound 1', revokedAt: '2026-11-25T09:00:00.000Z' })]);
  });

  it('that are devices need no CSRF token, since no browser sends their token by itself', async () => {
    const asked = { name: 'Script', roles: ['administrator'] };
    const { body } = await administrator.post<DeviceWithTokenDto>('/api/devices', asked);
    const device = new Client(test.url, { authorization: `Bearer ${body.token}` });
    expect((await device.post('/api/people', newcomer)).status).toBe(201);
    const forged = new Client(test.url, { authorization: 'Bearer made-up' });
    expect((await forged.post<Told>('/api/people', newcomer)).status).toBe(401);
  });

  it('leave no password and no token in the record or in kept answers', async () => {
    const headers = { 'idempotency-key': 'k-2' };
    const { body } = await administrator.post<DeviceWithTokenDto>(
      '/api/devices',
      { name: 'D', roles: ['technician'] },
      { headers },
    );
    await administrator.post('/api/people', newcomer, { headers: { 'idempotency-key': 'k-3' } });
    const kept = await test.store.read(LABORATORY, async (view) =>
      JSON.stringify([
        await entriesAfter(view, 0, 1000),
        await view.all(AnsweredRequestRow, {}, { order: { key: 'ASC' } }),
      ]),
    );
    expect(kept).toContain('k-3');
    expect(kept).not.toContain(body.token);
    expect(kept).not.toContain(PASSWORD);
    expect(kept).not.toContain('argon2');
  });
});
