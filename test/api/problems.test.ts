import { connect } from 'node:net';
import { Writable } from 'node:stream';
import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { type Answer, PASSWORD, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

interface ProblemDocument {
  type: string;
  title: string;
  status: number;
  detail: string;
  code: string;
  requestId: string;
  problems?: { at: string; message: string }[];
}

/** Keeps what the program logs, one entry a line. */
class KeptLog extends Writable {
  text = '';

  override _write(chunk: Buffer, _: string, done: () => void): void {
    this.text += chunk.toString();
    done();
  }

  entries(): Record<string, unknown>[] {
    return this.text
      .split('\n')
      .filter((line) => line !== '')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
  }
}

describeOnEachDatabase('Errors', (fresh) => {
  let database: FreshDatabase;
  let test: TestApp;
  let log: KeptLog;

  beforeEach(async () => {
    database = await fresh();
    log = new KeptLog();
    test = await startApp(database, { log, config: { logLevel: 'info', bodyLimit: 2048 } });
  });

  afterEach(async () => {
    await test.stop();
    await database.drop();
  });

  // RFC 9457 section 3: media type, and the members type, title, status and detail.
  const expectProblem = ({ status, headers, body }: Answer<ProblemDocument>, expected: number, code: string): void => {
    expect(headers.get('content-type')).toMatch(/^application\/problem\+json/);
    expect([status, body.code]).toEqual([expected, code]);
    expect(body).toMatchObject({
      type: `/problems/${code}`,
      title: expect.any(String),
      status: expected,
      detail: expect.stringMatching(/\.$/),
      requestId: headers.get('x-request-id'),
    });
  };
  const signIn = (body: unknown, headers: Record<string, string> = {}): Promise<Answer<ProblemDocument>> =>
    test.nobody.post<ProblemDocument>('/api/session', body, { headers });

  it('say that an address does not exist, without its query', async () => {
    for (const path of ['/api/nowhere?name=Quillan', '/health/nowhere', '/problems/held', '/api']) {
      const answer = await test.nobody.get<ProblemDocument>(path);
      expectProblem(answer, 404, 'no-such-address');
      expect(answer.body.detail).toContain(path.split('?')[0]);
      expect(answer.body.detail).not.toContain('Quillan');
    }
    expectProblem(await test.nobody.post<ProblemDocument>('/nowhere', {}), 404, 'no-such-address');
  });

  it('say that a body is not JSON, is empty, is none, or poisons prototypes', async () => {
    expectProblem(await signIn('{"login": "a",'), 400, 'malformed-json');
    expectProblem(await signIn(''), 400, 'malformed-json');
    expectProblem(await signIn('{"__proto__": {"login": "a"}}'), 400, 'malformed-json');
    expectProblem(await signIn('[]'), 422, 'invalid-input');
    expectProblem(await signIn('null'), 422, 'invalid-input');
    expectProblem(await signIn('login=a', { 'content-type': 'application/x-www-form-urlencoded' }), 415, 'media-type');
    expectProblem(await signIn('{}', { 'content-type': 'text/plain' }), 415, 'media-type');
  });

  it('say that a body is nested without end, and a name of the query stands twice', async () => {
    const deep = await signIn(`{"login":${'['.repeat(900)}${']'.repeat(900)}}`);
    expectProblem(deep, 422, 'invalid-input');
    expect(deep.body.problems?.[0]?.message).toContain('nested more than 32 deep');
    const technician = await test.as('technician');
    const twice = await technician.get<ProblemDocument>('/api/releases?run=a&run=b');
    expectProblem(twice, 422, 'invalid-input');
    expect(twice.body.problems).toMatchObject([{ at: 'run' }]);
  });

  it('say how large a body may be', async () => {
    const answer = await signIn({ login: 'a', password: 'x'.repeat(4000) });
    expectProblem(answer, 413, 'body-too-large');
    expect(answer.body.detail).toContain('2048 bytes');
  });

  it('say every place of a form that is wrong', async () => {
    const answer = await signIn({ login: 7, colour: 'green' });
    expectProblem(answer, 422, 'invalid-input');
    expect(answer.body.problems?.map(({ at }) => at).sort()).toEqual(['colour', 'login', 'password']);
    const nested = await test.nobody.post<ProblemDocument>('/api/setup', {
      token: 't',
      laboratory: { name: 'Saltmarrow Hospital' },
      name: 'a',
      login: 'aa',
      password: PASSWORD,
    });
    expect(nested.body.problems?.map(({ at }) => at)).toEqual(['laboratory.zone']);
    const query = await test.nobody.get<ProblemDocument>('/api/time?t1=soon&t2=1');
    expect(query.body.problems?.map(({ at }) => at).sort()).toEqual(['t1', 't2']);
  });

  it('say that an address is malformed, over a bare connection', async () => {
    const answer = await new Promise<string>((resolve, reject) => {
      const { port } = new URL(test.url);
      const socket = connect(Number(port), '127.0.0.1', () => {
        socket.end('GET /api/%zz HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n');
      });
      let text = '';
      socket.on('data', (chunk: Buffer) => (text += chunk.toString()));
      socket.on('end', () => resolve(text));
      socket.on('error', reject);
    });
    expect(answer).toMatch(/^HTTP\/1\.1 400 /);
    expect(answer).toContain('application/problem+json');
    expect(answer).toContain('malformed-address');
  });

  it('that nobody foresaw are logged by request id and show nothing of the inside', async () => {
    const administrator = await test.as('administrator');
    await test.store.connections.writer.query('DROP TABLE device');
    const answer = await administrator.get<ProblemDocument>('/api/devices', { headers: { 'x-request-id': 'trace-7' } });
    expectProblem(answer, 500, 'unexpected');
    expect(answer.body.requestId).toBe('trace-7');
    expect(JSON.stringify(answer.body)).not.toMatch(/device|SQL|relation|select/i);
    const logged = log.entries().find(({ msg }) => msg === 'unexpected error');
    expect(logged).toMatchObject({ requestId: 'trace-7', err: { message: expect.stringContaining('device') } });
  });

  it('and answers carry a request id: the caller’s own when it is usable', async () => {
    const given = async (id: string): Promise<string | null> =>
      (await test.nobody.get('/api/time?t1=1', { headers: { 'x-request-id': id } })).headers.get('x-request-id');
    expect(await given('trace-8')).toBe('trace-8');
    expect(await given('two words')).toMatch(/^[0-9a-f-]{36}$/);
    expect(await given('x'.repeat(65))).toMatch(/^[0-9a-f-]{36}$/);
  });

  it('leave one log line a request, without query, body, cookie or password', async () => {
    const administrator = await test.as('administrator');
    await administrator.get('/api/people?name=Quillan', { headers: { 'x-request-id': 'trace-9' } });
    await administrator.post('/api/people', { name: 'Quillan' });
    await signIn({ login: 'a', password: 'secret-words' });
    const entry = log.entries().find(({ requestId, msg }) => requestId === 'trace-9' && msg === 'answered');
    expect(entry).toMatchObject({ req: { method: 'GET', path: '/api/people' }, res: { status: 200 } });
    expect(log.text).not.toMatch(/Quillan|secret-words|stainwright_session|csrf|heather/);
  });
});

describeOnEachDatabase('Health', (fresh) => {
  it('is ready while the database answers, and says what does not', async () => {
    const database = await fresh();
    const test = await startApp(database);
    expect(await test.nobody.get('/health/live')).toMatchObject({ status: 200, body: { status: 'alive' } });
    expect(await test.nobody.get('/health/ready')).toMatchObject({
      status: 200,
      body: { status: 'ready', checks: { database: 'ok' } },
    });
    await test.store.connections.writer.query('DROP TABLE record_head');
    expect(await test.nobody.get('/health/ready')).toMatchObject({
      status: 503,
      body: { code: 'not-ready', detail: 'No answer from: database.', checks: { database: 'no answer' } },
    });
    expect((await test.nobody.get('/health/live')).status).toBe(200);
    await test.stop();
    await database.drop();
  });
});

describeOnEachDatabase('The time', (fresh) => {
  // RFC 5905 section 8: offset is ((t2 - t1) + (t3 - t4)) / 2, from the caller's t1 and t4 and the server's t2 and t3.
  it('is told for the four-instant exchange', async () => {
    const database = await fresh();
    const test = await startApp(database);
    const { body } = await test.nobody.get('/api/time?t1=1764061199000.5');
    const now = Date.parse('2026-11-25T09:00:00.000Z');
    expect(body).toEqual({ t1: 1764061199000.5, t2: now, t3: now });
    await test.stop();
    await database.drop();
  });
});
