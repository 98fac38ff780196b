import { execFileSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from '@jest/globals';
import type { PackDto, PackListDto } from '../../src/contract/packs.dto.js';
import type { Manifest } from '../../src/core/pack/manifest.js';
import { stagingPath, zipPath } from '../../src/packs/folder.js';
import { NoticeRow } from '../../src/store/rows/jobs.entity.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { verifyRecord } from '../../src/store/questions/verify.js';
import { type Client, LABORATORY, PASSWORD, startApp, type TestApp } from '../support/app.js';
import { placesIn } from '../support/checkpoints.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';
import { Bench, furnish } from '../support/furnish.js';
import { makeHere, verifyPack } from '../support/packs.js';

const DAY = '2026-11-25';
const MINUTE_MS = 60_000;
const SECRETS = ['QUILL-7731942', 'Wilhelmina Fernhollow', '1951-07-19', 'told to nobody but Fernhollow'];

interface Refused {
  code: string;
  detail: string;
  problems?: { at: string; message: string }[];
}

describeOnEachDatabase('An evidence pack', (fresh) => {
  let database: FreshDatabase;
  let folder: string;
  let test: TestApp;
  let director: Client;
  let runId: string;

  /** A run on a patient's specimen, released. */
  beforeAll(async () => {
    database = await fresh();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-packs-'));
    test = await startApp(database, { config: { filesDir: folder, checkpoints: placesIn(folder) } });
    const furnished = await furnish(test);
    director = await test.as('director');
    const releaser = await test.as('releaser');
    const technician = await test.as('technician');
    const { body: specimen } = await technician.post<{ id: string }>('/api/subjects', {
      kind: 'specimen',
      description: 'core, neck lymph node, right',
      irreplaceable: false,
      identifiers: [
        { kind: 'patient number', value: SECRETS[0] },
        { kind: 'patient name', value: SECRETS[1] },
        { kind: 'birth date', value: SECRETS[2] },
      ],
    });
    const bench = new Bench(test, technician, { ...furnished, core: specimen.id });
    runId = await bench.start();
    await bench.play(runId);
    await bench.must(runId, 'cleared', {});
    const { status } = await releaser.post(`/api/runs/${runId}/releases`, {
      subjectId: specimen.id,
      point: 'adequacy',
      kind: 'adequacy',
      words: SECRETS[3],
      password: PASSWORD,
    });
    expect(status).toBe(201);
  });

  afterAll(async () => {
    await test.stop();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const ask = (body: object = {}, client = director) =>
    client.post<PackDto & Refused>('/api/packs', { from: DAY, to: DAY, ...body });
  const look = async (id: string) => (await director.get<PackDto>(`/api/packs/${id}`)).body;
  const make = (id: string, changes = {}) => makeHere(test, folder, id, changes);
  /** What lies there of a pack. */
  const filesOf = (id: string): string[] => readdirSync(join(folder, 'packs')).filter((name) => name.startsWith(id));
  const facts = <T extends { laboratoryId: string }>(row: new () => T, where = {}) =>
    test.store.read(LABORATORY, (view) => view.all(row, where, { order: { laboratoryId: 'ASC' } as never }));

  async function made(body: object = {}): Promise<{ pack: PackDto; file: string; to: string; manifest: Manifest }> {
    const { status, body: asked } = await ask(body);
    expect([status, asked]).toMatchObject([201, { state: 'waiting', manifest: null }]);
    await make(asked.id);
    const pack = await look(asked.id);
    expect(pack).toMatchObject({ state: 'made', message: null });
    const answer = await fetch(`${test.url}/api/packs/${pack.id}/download`, { headers: director.headers });
    expect(answer.headers.get('content-disposition')).toMatch(/^attachment; filename="evidence-2026-11-25-to-/);
    const file = join(folder, `${pack.id}-taken-away.zip`);
    writeFileSync(file, Buffer.from(await answer.arrayBuffer()));
    const to = join(folder, `${pack.id}-unpacked`);
    execFileSync('python3', ['-m', 'zipfile', '-e', file, to]);
    return { pack, file, to, manifest: JSON.parse(readFileSync(join(to, 'manifest.json'), 'utf8')) as Manifest };
  }

  /** Every file of an unpacked pack, as one text. */
  const allOf = (to: string): string =>
    readdirSync(to, { recursive: true, withFileTypes: true })
      .filter((each) => each.isFile())
      .map(({ parentPath, name }) => readFileSync(join(parentPath, name), 'latin1'))
      .join('\n');

  it('masked holds no identifier, verifies all the same, and is named in the record', async () => {
    const { pack, file, to, manifest } = await made({ shown: [runId] });
    expect(await verifyPack(file)).toMatchObject({
      code: 0,
      out: expect.stringMatching(/^ok: \d+ files, entries 1 to \d+ of outer-quill, .*4 sealed values masked/),
    });
    expect(await verifyPack(to, join(to, 'chain', 'public-keys.pem'))).toMatchObject({ code: 0 });
    const everything = allOf(to);
    for (const secret of SECRETS) expect(everything).not.toContain(secret);
    const masked = readFileSync(join(to, 'data', 'identifiers.jsonl'), 'utf8')
      .trim()
      .split('\n');
    const pseudonyms = masked.map((line) => (JSON.parse(line) as { kind: string; pseudonym: string | null }).pseudonym);
    expect(
      pseudonyms.filter((each) => /^(patient-number|patient-name|birth-date)-[0-9a-f]{16}$/.test(each ?? '')),
    ).toHaveLength(3);
    expect(pseudonyms).toContain(null);
    expect(manifest).toMatchObject({
      format: 'stainwright-pack/1',
      laboratory: { id: LABORATORY, name: 'Saltmarrow Hospital', zone: 'Atlantic/Azores' },
      scope: { from: DAY, to: DAY, identifiers: 'masked' },
      missing: [],
    });
    expect(manifest.kinds.find(({ name }) => name === 'events')?.rows).toBeGreaterThan(20);
    expect(readFileSync(join(to, 'pdf', `run-${runId}.pdf`), 'latin1')).toMatch(/^%PDF-/);
    const page = readFileSync(join(to, 'index.html'), 'utf8');
    expect(page).toContain('Releases by exception</th><td class="n">0</td><td class="n">1</td>');
    expect(page).toContain('Recalls</th><td class="none" colspan="2">no record exists</td>');
    expect(page).not.toContain('<script');
    expect(execFileSync('sha256sum', [join(to, 'manifest.json')]).toString()).toContain(pack.manifest);
    const last = (await facts(RecordRow)).findLast(({ act }) => act === 'pack.made');
    expect(last?.body).toContain(`"manifest":"${pack.manifest}"`);
    const { counts, faults } = await test.store.read(LABORATORY, (view) => Promise.resolve(verifyRecord(view)));
    for await (const fault of faults) throw new Error(fault.message);
    expect(counts.rows).toBeGreaterThan(50);
    expect(filesOf(pack.id)).toEqual([`${pack.id}.zip`]);
  });

  it('holds identifiers only for whom may know them, or leaves them out', async () => {
    const included = await made({ identifiers: 'included' });
    const sealed = readFileSync(join(included.to, 'data', 'sealed-values.jsonl'), 'utf8');
    for (const secret of SECRETS) expect(sealed).toContain(secret);
    expect(await verifyPack(included.file)).toMatchObject({ code: 0, out: expect.not.stringContaining('masked') });
    const without = await made({ identifiers: 'left out', chain: 'period' });
    expect(readdirSync(join(without.to, 'data'))).not.toContain('identifiers.jsonl');
    expect(await verifyPack(without.file)).toMatchObject({ code: 0 });
    for (const secret of SECRETS) expect(allOf(without.to)).not.toContain(secret);
    const manager = await test.as('manager');
    expect(await ask({ identifiers: 'included' }, manager)).toMatchObject({
      status: 403,
      body: { code: 'role-needed' },
    });
    expect(await manager.get(`/api/packs/${included.pack.id}/download`)).toMatchObject({ status: 403 });
    const technician = await test.as('technician');
    for (const path of ['', `/${without.pack.id}`, `/${without.pack.id}/download`])
      expect(await technician.get(`/api/packs${path}`)).toMatchObject({ status: 403 });
    expect(await ask({}, technician)).toMatchObject({ status: 403, body: { code: 'role-needed' } });
  });

  it('is made for a reviewer within what was granted, and shown to nobody who reviews something else', async () => {
    const personId = await test.createPerson('quennel', ['reviewer']);
    const reviewer = await test.signIn('quennel');
    expect(await ask({ chain: 'period' }, reviewer)).toMatchObject({ status: 403, body: { code: 'review-closed' } });
    const grant = (changes: object = {}) =>
      director.post('/api/review/grants', {
        personId,
        fromDay: DAY,
        toDay: DAY,
        validFrom: DAY,
        validTo: '2026-11-30',
        reason: 'invented review',
        ...changes,
      });
    expect(await grant()).toMatchObject({ status: 201 });
    expect(await ask({}, reviewer)).toMatchObject({ status: 403, body: { code: 'outside-review' } });
    expect(await ask({ from: '2026-11-24', chain: 'period' }, reviewer)).toMatchObject({ status: 403 });
    expect(await ask({ identifiers: 'included', chain: 'period' }, reviewer)).toMatchObject({ status: 403 });
    const { status, body } = await ask({ chain: 'period' }, reviewer);
    expect(status).toBe(201);
    await make(body.id);
    expect(await reviewer.get(`/api/packs/${body.id}/download`)).toMatchObject({ status: 200 });
    expect((await reviewer.get<PackListDto>('/api/packs')).body.items).toMatchObject([{ id: body.id, state: 'made' }]);
    const { id } = (await ask()).body;
    expect(await reviewer.get(`/api/packs/${id}`)).toMatchObject({ status: 404 });
    expect(await reviewer.delete(`/api/packs/${id}`)).toMatchObject({ status: 404 });
    expect(await director.delete(`/api/packs/${id}`)).toMatchObject({ status: 200 });
    expect(await grant({ areas: ['stock'] })).toMatchObject({ status: 201 });
    expect(await ask({ chain: 'period' }, reviewer)).toMatchObject({ status: 403, body: { code: 'outside-review' } });
  });

  it('is limited to some runs, and says what it is limited to', async () => {
    const other = await made({ runs: [runId], protocols: ['ao-fresh'], chain: 'period' });
    expect(other.manifest.kinds.find(({ name }) => name === 'runs')).toMatchObject({ rows: 1, whole: false });
    expect(await verifyPack(other.file)).toMatchObject({ code: 0 });
    expect(readFileSync(join(other.to, 'index.html'), 'utf8')).toContain('Limited to protocols ao-fresh; runs');
    const { status, body } = await ask({ runs: ['no-run'], lots: ['no-lot'] });
    expect([status, body.code, body.problems?.map(({ at }) => at)]).toEqual([422, 'unknown-ids', ['lots', 'runs']]);
  });

  it('is refused over a period that cannot be', async () => {
    const why = async (from: string, to: string) => {
      const { status, body } = await ask({ from, to });
      return [status, body.code, body.problems?.[0]?.message];
    };
    expect(await why('2026-11-25', '2026-11-24')).toEqual([
      422,
      'bad-period',
      expect.stringContaining('before it begins'),
    ]);
    expect(await why('2026-11-26', '2026-11-27')).toEqual([422, 'bad-period', expect.stringContaining('today is')]);
    expect(await why('2026-11-25', '2026-11-26')).toEqual([422, 'bad-period', expect.stringContaining('end it today')]);
    expect(await why('1990-01-01', '2026-11-25')).toEqual([422, 'bad-period', expect.stringContaining('at most 3660')]);
    expect(await why('2026-10-01', '2026-10-31')).toEqual([
      422,
      'no-record',
      'No record exists from 2026-10-01 to 2026-10-31; take another period.',
    ]);
    expect((await ask({ from: '2026-02-30' })).status).toBe(422);
    expect((await ask({ from: 'yesterday' })).status).toBe(422);
  });

  it('is downloaded from where a download broke off', async () => {
    const { pack, file } = await made();
    const whole = readFileSync(file);
    const headers = { ...director.headers, range: `bytes=${whole.length - 100}-` };
    const answer = await fetch(`${test.url}/api/packs/${pack.id}/download`, { headers });
    expect([answer.status, answer.headers.get('content-range')]).toEqual([
      206,
      `bytes ${whole.length - 100}-${whole.length - 1}/${whole.length}`,
    ]);
    expect(Buffer.from(await answer.arrayBuffer()).equals(whole.subarray(-100))).toBe(true);
    expect(pack.bytes).toBe(whole.length);
  });

  it('is made one after another; who waits is called', async () => {
    const [first, second] = [(await ask()).body, (await ask()).body];
    await make(second.id);
    expect(await look(second.id)).toMatchObject({ state: 'waiting' });
    await make(first.id);
    await make(second.id);
    expect(await look(second.id)).toMatchObject({ state: 'made' });
    const { body } = await director.get<PackListDto>('/api/packs?take=1');
    expect(body).toMatchObject({ items: [{ id: second.id }], next: second.id });
  });

  it('goes on where it was interrupted, with the parts that were done', async () => {
    const { id } = (await ask()).body;
    let pages = 0;
    await make(id, { stopping: () => (pages += 1) > 10 });
    expect(await look(id)).toMatchObject({ state: 'working' });
    const done = readFileSync(join(stagingPath(folder, id), 'done.jsonl'), 'utf8')
      .trim()
      .split('\n');
    expect(done.length).toBeGreaterThan(8);
    let left = 0;
    const all = (await ask()).body;
    await make(id, { stopping: () => (left += 1) < 0 });
    expect(await look(id)).toMatchObject({ state: 'made' });
    expect(await verifyPack(zipPath(folder, id))).toMatchObject({ code: 0 });
    let whole = 0;
    await make(all.id, { stopping: () => (whole += 1) < 0 });
    expect(left).toBeLessThan(whole - 8);
  });

  it('is left to a worker that is at it, and taken over once that says no more', async () => {
    const { id } = (await ask()).body;
    const others: Promise<unknown>[] = [];
    await make(id, { stopping: () => others.length === 0 && others.push(make(id)) < 0 });
    await Promise.all(others);
    expect(others).toHaveLength(1);
    expect(await look(id)).toMatchObject({ state: 'made' });
    const made = (await facts(RecordRow)).filter(({ act, subjectId }) => act === 'pack.made' && subjectId === id);
    expect(made).toHaveLength(1);
  });

  it('is cancelled while it is made, and nothing is left', async () => {
    const { id } = (await ask()).body;
    const waits = (await ask()).body;
    const ends: Promise<unknown>[] = [];
    const real = performance.now.bind(performance);
    performance.now = () => real() * 1e6;
    try {
      await make(id, { stopping: () => ends.length === 0 && ends.push(director.delete(`/api/packs/${id}`)) < 0 });
    } finally {
      performance.now = real;
    }
    expect(await Promise.all(ends)).toMatchObject([{ status: 200, body: { state: 'cancelled' } }]);
    expect(filesOf(id)).toEqual([]);
    expect(await director.get(`/api/packs/${id}/download`)).toMatchObject({ status: 409 });
    expect(await director.delete(`/api/packs/${id}`)).toMatchObject({ status: 409, body: { code: 'pack-state' } });
    await make(waits.id);
    expect(await director.delete(`/api/packs/${waits.id}`)).toMatchObject({ body: { state: 'removed' } });
    expect(filesOf(waits.id)).toEqual([]);
  });

  it('fails in words when the disk is full, keeps nothing, and is made once there is room', async () => {
    const { id } = (await ask()).body;
    const staging = stagingPath(folder, id);
    mkdirSync(staging, { recursive: true });
    // The kernel's own full device.
    for (let n = 0; n < 40; n += 1) symlinkSync('/dev/full', join(staging, `${String(n).padStart(6, '0')}-0`));
    await make(id);
    expect(await look(id)).toMatchObject({ state: 'failed', message: expect.stringContaining('no room'), bytes: null });
    expect(filesOf(id)).toEqual([]);
    expect((await facts(NoticeRow)).filter(({ path }) => path === '/record/packs')).toHaveLength(1);
    expect(await director.get(`/api/packs/${id}/download`)).toMatchObject({ status: 409 });
    expect(await director.post(`/api/packs/${id}/again`, {})).toMatchObject({
      status: 200,
      body: { state: 'waiting' },
    });
    test.clock.forward(MINUTE_MS);
    await make(id);
    expect(await look(id)).toMatchObject({ state: 'made', message: null });
  });
});
