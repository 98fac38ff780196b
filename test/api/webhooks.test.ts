import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { DeliveryListDto, WebhookDto, WebhookWithSecretDto } from '../../src/contract/webhooks.dto.js';
import { TOPICS } from '../../src/core/webhook/topics.js';
import { signatureHeader } from '../../src/core/webhook/secrets.js';
import { EmbeddedRunner } from '../../src/jobs/embedded.js';
import { HANDLERS } from '../../src/jobs/handlers.js';
import { type Client, PASSWORD, START } from '../support/app.js';
import { placesIn } from '../support/checkpoints.js';
import { describeOnEachDatabase } from '../support/databases.js';
import { Bench, furnish } from '../support/furnish.js';
import { type Receiver, receiver } from '../support/receiver.js';
import { onProgram, test } from '../support/stage.js';
import { until } from '../support/until.js';

interface Refused {
  code: string;
}

describeOnEachDatabase('Webhooks', (fresh) => {
  onProgram(fresh);

  let administrator: Client;
  let to: Receiver;
  let made: WebhookWithSecretDto;
  let jobs: EmbeddedRunner;

  beforeAll(async () => {
    administrator = await test.as('administrator');
    to = await receiver();
    const topics = TOPICS.filter((topic) => topic !== 'notice');
    const asked = { name: 'Results desk', url: to.url, topics };
    made = (await administrator.post<WebhookWithSecretDto>('/api/webhooks', asked)).body;
    jobs = new EmbeddedRunner({
      ...{ store: test.store, clock: test.clock, checkpoints: placesIn('/nonexistent'), filesDir: '/nonexistent' },
      ...{ mail: null, handlers: HANDLERS, patience: { attempts: 1, firstMs: 1 }, warn: () => undefined },
    });
    await jobs.start();
  });

  afterAll(async () => {
    await jobs.stop();
    await to.stop();
  });

  const list = async () => (await administrator.get<WebhookDto[]>('/api/webhooks')).body;
  const sent = async () =>
    (await administrator.get<DeliveryListDto>(`/api/webhooks/deliveries?webhook=${made.id}`)).body.items;
  /** Every message was handed over; the newest last. */
  const taken = async (count: number): Promise<string[]> => {
    let items: DeliveryListDto['items'] = [];
    await until(`${count} messages are delivered`, async () => {
      items = await sent();
      return items.length === count && items.every(({ state }) => state === 'delivered');
    });
    return items.map(({ topic }) => topic).reverse();
  };

  it('tell a release, a withdrawal, a failed control and a recall by ids alone', async () => {
    const furnished = await furnish(test);
    const technician = await test.as('technician');
    const releaser = await test.as('releaser');
    const manager = await test.as('manager');
    const identifiers = [{ kind: 'patient name', value: 'Ada Quill' }];
    const specimen = { kind: 'specimen', description: 'core', irreplaceable: true, identifiers };
    const core = (await technician.post<{ id: string }>('/api/subjects', specimen)).body.id;
    const bench = new Bench(test, technician, { ...furnished, core });
    const run = await bench.start();
    await bench.play(run);
    const wanted = {
      subjectId: core,
      point: 'adequacy',
      kind: 'adequacy',
      words: 'Ada: adequate.',
      password: PASSWORD,
    };
    const { body: release } = await releaser.post<{ id: string }>(`/api/runs/${run}/releases`, wanted);
    const back = { reason: 'Mixed up.', told: 'Nobody yet.', password: PASSWORD };
    expect((await releaser.post(`/api/releases/${release.id}/withdrawal`, back)).status).toBe(201);
    await bench.play(await bench.start(), {}, ['negative']);
    const lot = { reagent: 'acridine-orange-working', number: 'Q-9', source: 'Quill Dyeworks', containers: [{}] };
    const { id } = (await manager.post<{ id: string }>('/api/lots', { ...lot, expiry: '2027-01-31' })).body;
    const recalled = await manager.post('/api/recalls', {
      lotId: id,
      reason: 'The maker says so.',
    });
    expect(recalled.status).toBe(201);
    expect(await taken(6)).toEqual([
      'result released',
      'release withdrawn',
      'control failed',
      'work in question',
      'lot recalled',
      'work in question',
    ]);
    const [first] = (await sent()).slice(-1);
    expect(JSON.parse(first!.body)).toMatchObject({ subject: { kind: 'run', id: run }, page: `/release/${run}` });
    const text = JSON.stringify(to.received);
    expect(text).not.toMatch(/Ada|Mixed up|adequate|maker/);
  });

  it('keep their secret to themselves, and sign with two while one takes the place of the other', async () => {
    expect(made.secret).toMatch(/^[\w-]{43}$/);
    const secret = `/api/webhooks/${made.id}/secret`;
    const { body: next } = await administrator.post<WebhookWithSecretDto>(secret, { overlapHours: 1 });
    expect(next.secrets.map(({ until }) => until)).toEqual([null, expect.any(String)]);
    const trial = async () => {
      const before = to.received.length;
      expect((await administrator.post(`/api/webhooks/${made.id}/trial`)).status).toBe(202);
      await taken((await sent()).length);
      expect(to.received).toHaveLength(before + 1);
      return to.received.at(-1)!;
    };
    const both = await trial();
    const header = ({ headers, body }: typeof both, ...secrets: string[]) =>
      signatureHeader(secrets, String(headers['stainwright-timestamp']), body);
    expect(both.headers['stainwright-signature']).toBe(header(both, next.secret, made.secret));
    test.clock.forward(3_600_000);
    const after = await trial();
    expect(after.headers['stainwright-signature']).toBe(header(after, next.secret));
    const { body: third } = await (
      await test.signIn('administrator-1')
    ).post<WebhookWithSecretDto>(secret, { overlapHours: 0 });
    administrator = await test.signIn('administrator-1');
    const last = await trial();
    expect(last.headers['stainwright-signature']).toBe(header(last, third.secret));
    const everything = JSON.stringify([await list(), await sent(), (await administrator.get('/api/record')).body]);
    for (const each of [made, next, third]) expect(everything).not.toContain(each.secret);
  });

  it('are set by an administrator alone, to addresses where something can receive', async () => {
    const asked = { name: 'Other', url: 'https://receiver.example/', topics: ['notice'] };
    for (const role of ['manager', 'director', 'technician'] as const) {
      expect((await (await test.as(role)).post('/api/webhooks', asked)).status).toBe(403);
    }
    expect((await (await test.as('technician')).get('/api/webhooks')).status).toBe(403);
    const bad = [
      { url: 'http://receiver.example/' },
      { url: 'https://169.254.169.254/' },
      { topics: [] },
      { topics: ['all'] },
    ];
    for (const change of bad)
      expect((await administrator.post('/api/webhooks', { ...asked, ...change })).status).toBe(422);
    const patch = (change: object) => administrator.patch<WebhookDto & Refused>(`/api/webhooks/${made.id}`, change);
    expect((await patch({})).body.code).toBe('nothing-to-change');
    expect((await patch({ url: 'https://0.0.0.0/' })).body.code).toBe('bad-address');
    expect(await list()).toHaveLength(1);
  });

  it('wait for nobody once switched off, and a message that was given up goes out when it is sent again', async () => {
    to.answers.push(500);
    await administrator.post(`/api/webhooks/${made.id}/trial`);
    const newest = async () => (await sent())[0]!;
    await until('it is given up', async () => (await newest()).state === 'given up');
    const { id, error } = await newest();
    expect(error).toMatch(/answered 500/);
    const again = () => administrator.post<Refused>(`/api/webhooks/deliveries/${id}/again`);
    expect((await again()).status).toBe(202);
    const all = (await sent()).length;
    await taken(all);
    expect((await again()).body.code).toBe('delivered-already');
    const { body } = await administrator.patch<WebhookDto>(`/api/webhooks/${made.id}`, { active: false });
    expect(body.active).toBe(false);
    const trial = await administrator.post<Refused>(`/api/webhooks/${made.id}/trial`);
    expect([trial.status, trial.body.code]).toEqual([409, 'switched-off']);
    const revision = await test.as('manager');
    await revision.post('/api/lots', { reagent: 'saline', number: 'S-1', source: 'Quill', containers: [{}] });
    expect(await sent()).toHaveLength(all);
  });
});

describe('The checks of a signature in docs/webhooks.md', () => {
  const run = promisify(execFile);
  let folder: string;

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'stainwright-webhook-'));
    const page = await readFile('docs/webhooks.md', 'utf8');
    const example = (language: string): string => page.split(`\`\`\`${language}\n`)[1]?.split('```')[0] ?? '';
    const js =
      'console.log(process.argv[2].split("|").map((one) => { const [secret, headers, body, now] = JSON.parse(one); return isGenuine(secret, headers, Buffer.from(body), now); }).join());';
    await writeFile(join(folder, 'check.mjs'), `${example('js')}\n${js}\n`);
    const py =
      'import json, sys\nprint(",".join(str(is_genuine(s, h, b.encode(), n)).lower() for s, h, b, n in (json.loads(one) for one in sys.argv[1].split("|"))))';
    await writeFile(join(folder, 'check.py'), `${example('python')}\n${py}\n`);
  });

  afterAll(() => rm(folder, { recursive: true, force: true }));

  it.each([
    ['node', 'check.mjs'],
    ['python3', 'check.py'],
  ])('take what is genuine and refuse the rest, in %s', async (program, file) => {
    const body = '{"topic":"trial","name":"µ"}';
    const at = Date.parse(START) / 1000;
    const timestamp = String(at);
    const headers = (signature: string) => ({ 'stainwright-timestamp': timestamp, 'stainwright-signature': signature });
    const genuine = headers(signatureHeader(['new', 'old'], timestamp, body));
    const cases: [string, object, string, number, boolean][] = [
      ['new', genuine, body, at, true],
      ['old', genuine, body, at + 300, true],
      ['other', genuine, body, at, false],
      ['new', genuine, `${body} `, at, false],
      // Sent again later, and as if it had been sent later.
      ['new', genuine, body, at + 301, false],
      ['new', { ...genuine, 'stainwright-timestamp': String(at + 301) }, body, at + 301, false],
      ['new', headers(''), body, at, false],
      ['new', {}, body, at, false],
    ];
    const asked = cases.map(([secret, sent, text, now]) => JSON.stringify([secret, sent, text, now])).join('|');
    const { stdout } = await run(program, [join(folder, file), asked]);
    expect(stdout.trim()).toBe(cases.map((each) => each[4]).join());
  });
});
