import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { copyFile, mkdtemp, open, readdir, rm, stat, truncate } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { backup } from '../../src/cli/backup/make.js';
import { restore } from '../../src/cli/backup/restore.js';
import { readConfig } from '../../src/config.js';
import type { SubjectListDto } from '../../src/contract/specimens.dto.js';
import { writeCheckpoint } from '../../src/store/checkpoints/checkpoints.js';
import { lastSeq } from '../../src/store/questions/entries.js';
import { type Client, LABORATORY, startApp, type TestApp } from '../support/app.js';
import { placesIn } from '../support/checkpoints.js';
import { describeOnEachEmptyDatabase, type FreshDatabase } from '../support/databases.js';
import { Bench, furnish } from '../support/furnish.js';
import { upload } from '../support/upload.js';
import { type Outcome, stainwright } from './stainwright.js';

const PDF = Buffer.from('%PDF-1.4\n% a certificate that nobody issued\n%%EOF\n');

/** Reads a backup with Python's standard library alone, and holds each file against the manifest. */
const READ = `
import hashlib, json, sys, zipfile
with zipfile.ZipFile(sys.argv[1]) as backup:
    manifest = json.loads(backup.read("manifest.json"))
    for each in manifest["files"]:
        content = backup.read(each["name"])
        assert len(content) == each["bytes"] and hashlib.sha256(content).hexdigest() == each["sha256"], each
    assert {each["name"] for each in manifest["files"]} | {"manifest.json"} == set(backup.namelist())
print(json.dumps([manifest["database"], manifest["signingKey"], [each["seq"] for each in manifest["records"]],
    sorted({each["name"].split("/")[0] for each in manifest["files"]})]))
`;

describeOnEachEmptyDatabase('A backup', (empty) => {
  let database: FreshDatabase;
  let restored: FreshDatabase;
  let folder: string;
  let env: Record<string, string>;
  let test: TestApp;
  let technician: Client;
  let made: Outcome;
  let upTo: { before: number; after: number };
  let fileId: string;
  const sqlite = () => database.address.kind === 'sqlite';
  const file = (name = 'backup.zip') => join(folder, name);
  const register = async (client: Client, description: string): Promise<void> => {
    const core = { kind: 'specimen', description, irreplaceable: false };
    const { status } = await client.post('/api/subjects', core);
    if (status !== 201) throw new Error(`registering answered ${status}`);
  };
  /** A PostgreSQL backup goes into the second database. */
  const target = (): { database?: string } =>
    restored.address.kind === 'postgres' ? { database: restored.address.url } : {};

  beforeAll(async () => {
    database = await empty();
    restored = await empty();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-backup-'));
    const { address } = database;
    const data = join(folder, 'data');
    // A laboratory's own data folder, with the database where the program puts it.
    const own = address.kind === 'sqlite' ? { ...address, file: join(data, 'stainwright.sqlite') } : address;
    database = { ...database, address: own };
    env = { DATA_DIR: data, ...(own.kind === 'postgres' ? { DATABASE_URL: own.url } : {}) };
    const { filesDir, checkpoints } = readConfig(env);
    test = await startApp(database, { config: { dataDir: data, filesDir, checkpoints } });
    technician = await test.as('technician');
    const furnished = await furnish(test);
    const bench = new Bench(test, technician, furnished);
    await bench.play(await bench.start());
    const manager = await test.as('manager');
    fileId = (await upload<{ id: string }>(manager, 'certificate.pdf', PDF)).body.id;
    await writeCheckpoint(test.store, placesIn(data), LABORATORY);
    await register(technician, 'before the backup');
    upTo = { before: await test.store.read(LABORATORY, lastSeq), after: 0 };
    // Others go on writing meanwhile.
    let stop = false;
    const others = (async () => {
      for (let n = 0; !stop; n += 1) await register(technician, `meanwhile ${n}`);
    })();
    try {
      made = await stainwright(['backup', '--out', file()], { env });
      upTo.after = await test.store.read(LABORATORY, lastSeq);
    } finally {
      stop = true;
      await others;
    }
    await register(technician, 'after the backup');
  });

  afterAll(async () => {
    await test.stop();
    await database.drop();
    await restored.drop();
    await rm(folder, { recursive: true, force: true });
  });

  it('is one file that common tools read, whole as its manifest says, without the key that signs', async () => {
    expect([made.err, made.code]).toEqual(['', 0]);
    expect(made.out).toMatch(/The key that signs checkpoints is not in it/);
    expect((await stat(file())).mode & 0o777).toBe(0o600);
    const { stdout } = await promisify(execFile)('python3', ['-c', READ, file()]);
    const [kind, signingKey, [seq], parts] = JSON.parse(stdout) as [string, boolean, number[], string[]];
    expect([kind, signingKey]).toEqual([sqlite() ? 'sqlite' : 'postgres', false]);
    expect(parts).toEqual(['checkpoints', sqlite() ? 'database.sqlite' : 'database.pgdump', 'files', 'keys']);
    expect(seq).toBeGreaterThanOrEqual(upTo.before);
    expect(seq).toBeLessThanOrEqual(upTo.after);
    expect(await readdir(folder)).toEqual(['backup.zip', 'data']);
  });

  it('puts the key in when asked, says so, and never writes over a file', async () => {
    await expect(backup({ out: file() })).rejects.toThrow(/is there already/);
    if (!sqlite()) return;
    const asked = await stainwright(['backup', '--out', file('keyed.zip'), '--with-signing-key'], { env });
    expect([asked.code, asked.out]).toEqual([0, expect.stringMatching(/The key that signs checkpoints is in it/)]);
    const { stdout } = await promisify(execFile)('python3', ['-m', 'zipfile', '-l', file('keyed.zip')]);
    expect(stdout).toContain('keys/checkpoint.pem');
  });

  it('is refused when it was cut short or changed, and leaves nothing behind', async () => {
    const { size } = await stat(file());
    await copyFile(file(), file('short.zip'));
    await truncate(file('short.zip'), size - 5000);
    await copyFile(file(), file('changed.zip'));
    const changed = await open(file('changed.zip'), 'r+');
    await changed.write(Buffer.from('stain'), 0, 5, Math.floor(size / 2));
    await changed.close();
    for (const name of ['short.zip', 'changed.zip']) {
      await expect(restore({ from: file(name), data: file('other'), ...target() })).rejects.toThrow(/[Tt]ake another/);
    }
    expect((await readdir(folder)).filter((name) => name.includes('other'))).toEqual([]);
  });

  it('brings everything up to its moment back and nothing after it, and the record holds', async () => {
    const data = file('back');
    const into = Object.entries(target()).flatMap(([name, value]) => [`--${name}`, value]);
    const { code, out, err } = await stainwright(['restore', '--from', file(), '--data', data, ...into]);
    expect([err, code]).toEqual(['', 0]);
    expect(out).toMatch(/The backup of \S+ is whole/);
    expect(out).toMatch(/The record holds\./);
    expect(out).toMatch(/Last checkpoint: entry \d+, signed at/);

    const address =
      restored.address.kind === 'postgres'
        ? restored.address
        : { kind: 'sqlite' as const, file: join(data, 'stainwright.sqlite') };
    const where = { DATA_DIR: data, ...(address.kind === 'postgres' ? { DATABASE_URL: address.url } : {}) };
    const checked = await stainwright(['verify'], { env: where });
    expect([checked.code, checked.out]).toEqual([0, expect.stringMatching(/files 1\. The record holds\./)]);

    const { filesDir, checkpoints } = readConfig(where);
    const config = { dataDir: data, filesDir, checkpoints };
    const other = await startApp({ address, drop: () => Promise.resolve() }, { config });
    try {
      const client = await other.signIn('technician-1');
      const { body } = await client.get<SubjectListDto>('/api/subjects?take=200');
      const words = body.items.map(({ description }) => description);
      expect(words).toContain('before the backup');
      expect(words).not.toContain('after the backup');
      const kept = await fetch(`${other.url}/api/files/${fileId}`, { headers: client.headers });
      expect(Buffer.from(await kept.arrayBuffer())).toEqual(PDF);
      // Life goes on from there.
      await register(client, 'after the restore');
    } finally {
      await other.stop();
    }
    const again = restore({ from: file(), data, ...target() });
    await expect(again).rejects.toThrow(/not empty; nothing is ever restored over/);
    if (sqlite()) return;
    await expect(restore({ from: file(), data: file('twice'), ...target() })).rejects.toThrow(/database is not empty/);
    expect(existsSync(file('twice'))).toBe(false);
  });
});
