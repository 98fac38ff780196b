import { createHash } from 'node:crypto';
import { mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from '@jest/globals';
import { encode } from 'fast-png';
import { reportRecord } from '../../src/cli/verify.js';
import type { FileDto } from '../../src/contract/files.dto.js';
import { FileFolder } from '../../src/store/files/folder.js';
import { sweepFiles } from '../../src/store/files/sweep.js';
import { FileRow } from '../../src/store/rows/files.entity.js';
import { type Client, LABORATORY, startApp, type TestApp } from '../support/app.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';
import { until } from '../support/until.js';
import { upload } from '../support/upload.js';

type Refused = { code: string; detail: string; problems?: { at: string }[] };

const DAY_MS = 86_400_000;
const PICTURE = encode({ width: 2, height: 2, data: new Uint8Array(12).fill(200), channels: 3 });
const HASH = createHash('sha256').update(PICTURE).digest('hex');

describeOnEachDatabase('Files', (fresh) => {
  let database: FreshDatabase;
  let folder: string;
  let test: TestApp;
  let technician: Client;

  beforeEach(async () => {
    database = await fresh();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-files-'));
    test = await startApp(database, { config: { filesDir: folder } });
    technician = await test.as('technician');
  });

  afterEach(async () => {
    await test.stop();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const send = (content: Uint8Array, headers?: Record<string, string>, client = technician) =>
    upload<FileDto & Refused>(client, 'control of the day', content, headers);
  const lying = async () =>
    (await readdir(folder, { recursive: true, withFileTypes: true }))
      .filter((each) => each.isFile())
      .map(({ name }) => name);
  const rows = () => test.store.read(LABORATORY, (view) => view.all(FileRow));

  it('are kept under the hash of their content and told for what they are, whatever was claimed', async () => {
    const { status, body } = await send(PICTURE, { 'content-type': 'application/pdf' });
    expect([status, body]).toMatchObject([201, { name: 'control of the day', mediaType: 'image/png', sha256: HASH }]);
    expect(await readFile(join(folder, HASH.slice(0, 2), HASH))).toEqual(Buffer.from(PICTURE));

    const answer = await fetch(`${test.url}/api/files/${body.id}`, { headers: technician.headers });
    expect(Buffer.from(await answer.arrayBuffer())).toEqual(Buffer.from(PICTURE));
    expect(Object.fromEntries(answer.headers)).toMatchObject({
      'content-type': 'image/png',
      'content-length': String(PICTURE.length),
      'content-disposition': "inline; filename*=UTF-8''control%20of%20the%20day",
      'x-content-type-options': 'nosniff',
      etag: `"${HASH}"`,
    });
    const again = await fetch(`${test.url}/api/files/${body.id}`, {
      headers: { ...technician.headers, 'if-none-match': `"${HASH}"` },
    });
    expect([again.status, await again.text()]).toEqual([304, '']);
  });

  it('of other kinds are refused by their first bytes, and nothing is kept', async () => {
    const others: [string, Buffer][] = [
      ['a program', Buffer.from('MZ\u0090\u0000\u0003\u0000\u0000\u0000\u0004', 'latin1')],
      ['a program', Buffer.from('7f454c4602010100', 'hex')],
      ['a page', Buffer.from('<!doctype html><script>alert(1)</script>')],
      ['a drawing with a script', Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"/>')],
      ['nothing', Buffer.alloc(0)],
      ['a begun picture', Buffer.from('89504e', 'hex')],
    ];
    for (const [what, content] of others) {
      const { status, body } = await send(content, { 'content-type': 'image/png' });
      expect([what, status, body.code]).toEqual([what, 422, 'file-type']);
      expect(body.detail).toContain('PNG, JPEG, TIFF, PDF');
    }
    expect(await lying()).toEqual([]);
    expect(await rows()).toEqual([]);
  });

  it('over the limit, without a name, in JSON or from a reviewer are refused with the right status', async () => {
    const large = Buffer.concat([PICTURE, Buffer.alloc(1024 * 1024)]);
    expect(await send(large)).toMatchObject({
      status: 413,
      body: { code: 'file-too-large', detail: expect.stringContaining('1048576') },
    });
    expect(await upload<Refused>(technician, '', PICTURE)).toMatchObject({
      status: 422,
      body: { problems: [{ at: 'name' }] },
    });
    expect(await technician.post<Refused>('/api/files?name=x', {})).toMatchObject({
      status: 415,
      body: { detail: expect.stringContaining('application/octet-stream') },
    });
    expect((await send(PICTURE, { 'content-type': 'text/csv' })).status).toBe(415);
    expect((await send(PICTURE, {}, await test.as('reviewer'))).status).toBe(403);
    expect((await send(PICTURE, {}, test.nobody)).status).toBe(401);
    // A route that takes JSON takes no picture.
    const picture = await fetch(`${test.url}/api/lots`, {
      method: 'POST',
      headers: { ...technician.headers, 'content-type': 'image/png' },
      body: new Uint8Array(PICTURE),
    });
    expect(picture.status).toBe(415);
    expect(await lying()).toEqual([]);
  });

  it('sent twice with one key are one file, and the same content lies there once', async () => {
    const key = { 'idempotency-key': 'shutter-1' };
    const [first, second] = [await send(PICTURE, key), await send(PICTURE, key)];
    expect(second.body).toEqual(first.body);
    expect((await send(PICTURE)).body.id).not.toBe(first.body.id);
    expect(await lying()).toEqual([HASH]);
    expect(await rows()).toHaveLength(2);
  });

  it('that broke off leave no row; what they left is cleared away, and never a file that a row names', async () => {
    const kept = await send(PICTURE);
    expect(kept.status).toBe(201);
    await breakOff(technician, PICTURE, lying);
    expect(await rows()).toHaveLength(1);

    // What a process leaves that is killed while it writes, and one killed between the file and its row.
    await writeFile(join(folder, 'incoming', 'half'), 'half');
    await new FileFolder(folder).keep(one(Buffer.concat([PICTURE, Buffer.from('x')])), 1000);
    expect(await lying()).toContain('half');
    const now = Date.now();
    await sweepFiles(test.store, folder, now);
    expect(await lying()).toHaveLength(3);
    const old = new Date(now - 31 * DAY_MS);
    for (const each of await readdir(folder, { recursive: true, withFileTypes: true })) {
      if (each.isFile()) await utimes(join(each.parentPath, each.name), old, old);
    }
    await sweepFiles(test.store, folder, now);
    expect(await lying()).toEqual([HASH]);
  });

  it('that are gone or changed on the disk are told by verify and refused with what to do', async () => {
    const { body } = await send(PICTURE);
    const place = join(folder, HASH.slice(0, 2), HASH);
    const told = async () => {
      const lines: string[] = [];
      const files = new FileFolder(folder);
      const faults = await reportRecord(test.store, { signed: [], publicKeys: [], files }, (line) => lines.push(line));
      return [faults, lines.join('\n')];
    };
    expect(await told()).toEqual([0, expect.stringContaining('files 1. The record holds.')]);
    await writeFile(place, Buffer.from(PICTURE).fill(7, 20, 21));
    expect(await told()).toEqual([1, expect.stringContaining(`file ${body.id}`)]);
    await rm(place);
    expect(await told()).toEqual([1, expect.stringContaining('ENOENT')]);
    const answer = await technician.get<Refused>(`/api/files/${body.id}`);
    expect([answer.status, answer.body.code]).toEqual([503, 'file-gone']);
    // Sent again, it mends what was lost.
    await send(PICTURE);
    expect((await told())[0]).toBe(0);
    expect((await technician.get(`/api/files/none`)).status).toBe(404);
  });
});

async function* one(content: Uint8Array): AsyncGenerator<Uint8Array> {
  yield content;
}

/** Begins to send a file, and is gone before its end, once some of it lies there. */
async function breakOff(client: Client, content: Uint8Array, lying: () => Promise<string[]>): Promise<void> {
  const before = (await lying()).length;
  const { hostname, port } = new URL(client.url);
  const socket = connect(Number(port), hostname);
  const headers = Object.entries({ ...client.headers, 'content-type': 'image/png', 'content-length': '9999' });
  socket.write(
    `POST /api/files?name=broken HTTP/1.1\r\nhost: ${hostname}\r\n${headers.map(([k, v]) => `${k}: ${v}`).join('\r\n')}\r\n\r\n`,
  );
  socket.write(content);
  await until('some of it lies there', async () => (await lying()).length > before);
  socket.destroy();
  await until('it is taken away', async () => (await lying()).length === before);
}
