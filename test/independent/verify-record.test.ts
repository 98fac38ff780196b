import { execFile } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { cpSync } from 'node:fs';
import { appendFile, mkdir, mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { pemOfAll } from '../../src/cli/checkpoint.js';
import { exportEntries } from '../../src/cli/record-export.js';
import { reportRecord } from '../../src/cli/verify.js';
import { HandClock } from '../../src/clock.js';
import type { CheckpointPlaces } from '../../src/config.js';
import { canonicalText, chainHash, type Entry, GENESIS } from '../../src/core/record/record.js';
import { lineOf, rotateKey, signedHere, signedIn, writeCheckpoint } from '../../src/store/checkpoints/checkpoints.js';
import { publicKeysHere, publicKeysOf } from '../../src/store/checkpoints/keys.js';
import { connect } from '../../src/store/data-source.js';
import { checkpointsAfter } from '../../src/store/questions/checkpoints.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { NoticeRow } from '../../src/store/rows/jobs.entity.js';
import { RecordRow } from '../../src/store/rows/record.entity.js';
import { Store } from '../../src/store/store.js';
import { stainwright } from '../cli/stainwright.js';
import { placesIn } from '../support/checkpoints.js';
import { describeOnEachDatabase, type FreshDatabase } from '../support/databases.js';

const LABORATORY = 'outer-quill';
const VERIFIER = 'test/independent/verify_record.py';

/** Runs Python, whose standard library is all that the verifier has, and answers what it printed and its exit code. */
function python(...args: string[]): Promise<{ code: number; out: string }> {
  return new Promise((resolve, reject) => {
    execFile('python3', ['-B', ...args], (error, out, err) => {
      if (error && typeof error.code !== 'number') reject(error);
      else resolve({ code: Number(error?.code ?? 0), out: `${out}${err}` });
    });
  });
}

describe('The independent verifier', () => {
  it('verifies Ed25519 as RFC 8032 section 7.1 has it, and nothing else', async () => {
    const program = `
import json, sys
sys.path.insert(0, "test/independent")
from verify_record import L, verifies
for case in json.load(open("test/vectors/ed25519.json"))["cases"]:
    key, message, signature = (bytes.fromhex(case[name]) for name in ("public", "message", "signature"))
    malleable = signature[:32] + (int.from_bytes(signature[32:], "little") + L).to_bytes(32, "little")
    other = bytes([signature[0] ^ 1]) + signature[1:]
    print(*(verifies(key, *each) for each in (
        (message, signature), (message + b"x", signature), (message, malleable), (message, other), (message, b""))))
`;
    const { out } = await python('-c', program);
    expect(out.trim().split('\n')).toEqual(Array.from({ length: 3 }, () => 'True False False False False'));
  });

  it('says how it is used', async () => {
    expect(await python(VERIFIER)).toMatchObject({ code: 2, out: expect.stringContaining('ENTRIES CHECKPOINTS') });
  });
});

describe('The checkpoint key', () => {
  it('is one when several processes make it at once', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'stainwright-'));
    try {
      const env = { DATA_DIR: folder };
      const told = await Promise.all([1, 2, 3, 4].map(() => stainwright(['checkpoint', 'keys'], { env })));
      expect(new Set(told.map(({ out }) => out)).size).toBe(1);
      expect(told[0]).toMatchObject({ code: 0, err: '', out: pemOfAll(publicKeysHere(placesIn(folder))) });
    } finally {
      await rm(folder, { recursive: true, force: true });
    }
  });
});

describeOnEachDatabase('A record with checkpoints', (fresh) => {
  let database: FreshDatabase;
  let store: Store;
  let clock: HandClock;
  let folder: string;
  let places: CheckpointPlaces;

  /** A laboratory whose entries 3, 6 and 8 are signed; the checkpoints and keys are kept apart, as they should be. */
  beforeEach(async () => {
    database = await fresh();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-'));
    places = placesIn(join(folder, 'data'));
    clock = new HandClock(Date.parse('2026-11-25T09:00:00.000Z'));
    store = new Store(await connect(database.address), clock);
    await store.housekeep(LABORATORY, (unit) =>
      addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Atlantic/Azores', demo: false, driftPpm: 100 }),
    );
    for (const entries of [3, 3, 2]) {
      for (let n = 0; n < entries; n += 1) await grow();
      clock.forward(3_600_000);
      await writeCheckpoint(store, places, LABORATORY);
    }
    await keepApart();
  });

  afterEach(async () => {
    await store.close();
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const grow = (): Promise<void> =>
    store.change({ laboratoryId: LABORATORY, personId: 'isolde', deviceId: null }, 'test.act', async (unit) => {
      const empty = { runId: null, path: null, personId: null, seenBy: null, seenAt: null, overAt: null };
      const notice = { at: unit.at, text: 'invented', ...empty };
      await unit.add(NoticeRow, { ...notice, id: randomUUID(), matter: randomUUID() });
      unit.about('test', `thing ${unit.seq}`);
    });
  const rows = () => store.read(LABORATORY, (view) => checkpointsAfter(view, 0));
  const elsewhere = (name: string): string => join(folder, name);

  async function keepApart(): Promise<void> {
    await writeFile(elsewhere('kept.jsonl'), (await rows()).map(lineOf).join(''));
    await writeFile(elsewhere('kept.pem'), pemOfAll(publicKeysHere(places)));
  }

  /** What `verify` tells of faults, with the checkpoints and keys that were kept apart. */
  async function verified(checkpoints = elsewhere('kept.jsonl'), keys = elsewhere('kept.pem')): Promise<string[]> {
    const lines: string[] = [];
    const evidence = { signed: signedIn(checkpoints), publicKeys: publicKeysOf(keys) };
    const faults = await reportRecord(store, evidence, (line) => lines.push(line));
    const told = lines.filter((line) => /^(outer-quill, |checkpoint )/.test(line));
    expect(told).toHaveLength(faults);
    return told;
  }

  /** What the verifier in the other language says of the record as it is exported now. */
  async function verifiedElsewhere(checkpoints = elsewhere('kept.jsonl'), keys = elsewhere('kept.pem')) {
    const to = elsewhere(randomUUID());
    await mkdir(to);
    await exportEntries(store, to);
    return python(VERIFIER, join(to, `${LABORATORY}.entries.jsonl`), checkpoints, keys);
  }

  const tamper = (sql: string, values: unknown[] = []): Promise<unknown> => store.connections.writer.query(sql, values);

  const entryAt = (seq: number): Promise<RecordRow> =>
    store.read(LABORATORY, (view) => view.need(RecordRow, { seq }, `entry ${seq}`));

  /** Changes an entry and makes all that follows anew, so that the chain by itself holds. */
  async function makeAnew(from: number): Promise<void> {
    let { hash: previous } = from === 1 ? { hash: GENESIS } : await entryAt(from - 1);
    for (let seq = from; seq <= 8; seq += 1) {
      const entry = JSON.parse((await entryAt(seq)).body) as Entry;
      const body = canonicalText(seq === from ? { ...entry, data: { forged: true } } : entry);
      previous = chainHash(previous, body);
      await tamper('UPDATE record_entry SET body = $1, hash = $2 WHERE seq = $3', [body, previous, seq]);
    }
    await tamper('UPDATE record_head SET hash = $1', [previous]);
  }

  async function cutAfter(seq: number): Promise<void> {
    const { hash } = seq === 0 ? { hash: GENESIS } : await entryAt(seq);
    await tamper('DELETE FROM record_entry WHERE seq > $1', [seq]);
    await tamper('UPDATE record_head SET seq = $1, hash = $2', [seq, hash]);
  }

  it('holds untouched, for both verifiers', async () => {
    expect(await verified()).toEqual([]);
    expect(await verifiedElsewhere()).toEqual({
      code: 0,
      out: 'ok: 8 entries of outer-quill, 3 checkpoints, signed up to entry 8\n',
    });
  });

  it.each<[string, () => Promise<unknown>, RegExp, RegExp]>([
    [
      'an entry was changed',
      () => tamper(`UPDATE record_entry SET body = replace(body, 'thing 5', 'thing 9') WHERE seq = 5`),
      /^outer-quill, record 5, record_entry: entry 5 or the hash before it was changed/,
      /^record 5: its hash does not follow/,
    ],
    [
      'an entry was deleted',
      () => tamper('DELETE FROM record_entry WHERE seq = 5'),
      /^outer-quill, record 6, record_entry: entry 6 follows 4/,
      /^record 6: it follows 4/,
    ],
    [
      'an entry was inserted',
      async () => {
        for (const seq of [8, 7, 6, 5]) await tamper(`UPDATE record_entry SET seq = ${seq + 1} WHERE seq = ${seq}`);
        const { body, hash } = await entryAt(4);
        await tamper(
          `INSERT INTO record_entry SELECT laboratory_id, 5, at, act, subject_kind, subject_id, person_id, body, '${chainHash(hash, body)}'
           FROM record_entry WHERE seq = 4`,
        );
        await tamper('UPDATE record_head SET seq = 9');
      },
      /^outer-quill, record 5, record_entry: entry 5 says that it is entry 4/,
      /^record 5: its text is that of entry 4/,
    ],
    [
      'entries were put in another order',
      async () => {
        for (const [from, to] of [
          [5, 99],
          [6, 5],
          [99, 6],
        ])
          await tamper(`UPDATE record_entry SET seq = ${to} WHERE seq = ${from}`);
      },
      /^outer-quill, record 5, record_entry: entry 5 or the hash before it was changed/,
      /^record 5: its hash does not follow/,
    ],
    [
      'its end was cut off, and the note of the last entry made to fit',
      () => cutAfter(6),
      /^outer-quill, record 6, checkpoint: the record ends with entry 6, .* signed up to entry 8: at least 2 entries were cut off/,
      /^record 6: the record ends here, but it was signed up to entry 8/,
    ],
    [
      'all of it was deleted',
      () => cutAfter(0),
      /^outer-quill, record 0, checkpoint: the record ends with entry 0, .* at least 8 entries were cut off/,
      /^record 0: the record ends here, but it was signed up to entry 8/,
    ],
    [
      'it was made anew from an entry on',
      () => makeAnew(5),
      /^outer-quill, record 6, checkpoint: entry 6 has not the hash .* entries from 4 to 6 were changed or made anew/,
      /^record 6: another hash was signed .* entries from 4 to 6/,
    ],
    [
      'it was made anew from the beginning',
      () => makeAnew(1),
      /^outer-quill, record 3, checkpoint: entry 3 has not the hash .* entries from 1 to 3 were changed or made anew/,
      /^record 3: another hash was signed .* entries from 1 to 3/,
    ],
  ])('is found out when %s', async (_what, act, told, toldElsewhere) => {
    await act();
    // The table with its checkpoints is in the same hands.
    await tamper('DELETE FROM checkpoint');
    expect((await verified())[0]).toMatch(told);
    const { code, out } = await verifiedElsewhere();
    expect({ code, out }).toEqual({ code: 1, out: expect.stringMatching(toldElsewhere) });
  });

  it('is found out without the copy by the file outside of the database', async () => {
    await cutAfter(6);
    await tamper('DELETE FROM checkpoint');
    const signed = await store.read(LABORATORY, (view) => signedHere(view, places));
    const lines: string[] = [];
    await reportRecord(store, { signed, publicKeys: publicKeysHere(places) }, (line) => lines.push(line));
    expect(lines[0]).toContain('it was signed up to entry 8: at least 2 entries were cut off at its end');
  });

  it('cannot be covered by checkpoints of another key, nor by changed ones', async () => {
    await makeAnew(5);
    await tamper('DELETE FROM checkpoint');
    const forger = placesIn(join(folder, 'forger'));
    await writeCheckpoint(store, forger, LABORATORY);
    await writeFile(elsewhere('forged.jsonl'), (await rows()).map(lineOf).join(''));
    const foreign =
      /^checkpoint 1 \(.*record 8.*\): it is signed by the key [0-9a-f]{16}, which is none of the trusted/;
    expect((await verified(elsewhere('forged.jsonl')))[0]).toMatch(foreign);
    expect(await verifiedElsewhere(elsewhere('forged.jsonl'))).toMatchObject({
      code: 1,
      out: expect.stringMatching(foreign),
    });

    const changed = (await readFile(elsewhere('kept.jsonl'), 'utf8')).replace('\\"seq\\":6', '\\"seq\\":5');
    await writeFile(elsewhere('changed.jsonl'), changed);
    const broken = /^checkpoint 2 \(.*record 5.*\): its signature is not that of the key/;
    expect((await verified(elsewhere('changed.jsonl')))[0]).toMatch(broken);
    expect(await verifiedElsewhere(elsewhere('changed.jsonl'))).toMatchObject({
      code: 1,
      out: expect.stringMatching(broken),
    });
  });

  it('tells when the columns of a checkpoint do not say what was signed, and a line that is none', async () => {
    await tamper('UPDATE checkpoint SET seq = 7 WHERE number = 2');
    await appendFile(elsewhere('kept.jsonl'), 'half a li');
    expect(await verified()).toEqual([
      'checkpoint 4: it is no statement of the format stainwright-checkpoint/1',
      'outer-quill, record 7, checkpoint: the columns of checkpoint 2 do not say what was signed',
    ]);
  });

  it('keeps on through a rotation for whoever trusts the first key alone', async () => {
    const first = elsewhere('kept.pem');
    const { from, to } = await rotateKey(store, places);
    expect(from).not.toBe(to);
    expect(publicKeysHere(places)).toHaveLength(2);
    await grow();
    await writeCheckpoint(store, places, LABORATORY);
    expect((await rows()).map(({ seq, keyId }) => [seq, keyId])).toEqual([
      [3, from],
      [6, from],
      [8, from],
      [8, from],
      [9, to],
    ]);
    await writeFile(elsewhere('all.jsonl'), (await rows()).map(lineOf).join(''));
    expect(await verified(elsewhere('all.jsonl'), first)).toEqual([]);
    expect(await verifiedElsewhere(elsewhere('all.jsonl'), first)).toEqual({
      code: 0,
      out: 'ok: 9 entries of outer-quill, 5 checkpoints, signed up to entry 9\n',
    });
  });

  it('finishes a rotation that was interrupted, and signs nothing in between', async () => {
    cpSync(join(folder, 'data', 'keys'), join(folder, 'before'), { recursive: true });
    const { from } = await rotateKey(store, places);
    // As if the old key had never been replaced.
    cpSync(places.keyFile, `${places.keyFile}.next`);
    cpSync(join(folder, 'before', 'checkpoint.pem'), places.keyFile);
    await grow();
    await expect(writeCheckpoint(store, places, LABORATORY)).rejects.toThrow(
      `The checkpoint key ${from} has handed over to another and is still in use here`,
    );
    const { to } = await rotateKey(store, places);
    expect((await writeCheckpoint(store, places, LABORATORY))!.keyId).toBe(to);
    expect(await rows()).toHaveLength(5);
  });

  it('is signed once for the same entries, by a key that only its owner reads, into a file with every checkpoint', async () => {
    expect(await writeCheckpoint(store, places, LABORATORY)).toBeNull();
    expect((await stat(places.keyFile)).mode & 0o777).toBe(0o600);
    const file = join(places.folder, `${LABORATORY}.jsonl`);
    const all = (await rows()).map(lineOf).join('');
    expect(await readFile(file, 'utf8')).toBe(all);
    await rm(file);
    await writeCheckpoint(store, places, LABORATORY);
    expect(await readFile(file, 'utf8')).toBe(all);
  });

  it('refuses a key file that holds no such key', async () => {
    await writeFile(places.keyFile, 'no key');
    await grow();
    await expect(writeCheckpoint(store, places, LABORATORY)).rejects.toThrow(
      `${places.keyFile} holds no Ed25519 private key in PEM`,
    );
  });

  it('goes through the command line, from the first key to the verifier in the other language', async () => {
    const { address } = database;
    const env = {
      DATA_DIR: join(folder, 'data'),
      ...(address.kind === 'postgres' && { DATABASE_URL: address.url }),
    };
    const where = address.kind === 'sqlite' ? ['--database', address.file] : [];
    const run = async (...args: string[]): Promise<string> => {
      const { code, out, err } = await stainwright([...args, ...where], { env });
      expect({ args, code, err }).toEqual({ args, code: 0, err: '' });
      return out;
    };
    await grow();
    expect(await run('checkpoint')).toMatch(/^outer-quill: signed up to entry 9 at .* by the key [0-9a-f]{16}$/m);
    expect(await run('checkpoint', 'rotate')).toMatch(/^The key [0-9a-f]{16} handed over to [0-9a-f]{16}/);
    await run('checkpoint', 'export', '--to', elsewhere('exported.jsonl'));
    const pem = (await stainwright(['checkpoint', 'keys'], { env })).out;
    expect(pem.match(/BEGIN PUBLIC KEY/g)).toHaveLength(2);
    await writeFile(elsewhere('exported.pem'), pem);
    const checked = await run(
      ...['verify', '--checkpoints', elsewhere('exported.jsonl'), '--public-key', elsewhere('kept.pem')],
    );
    expect(checked).toContain('The record holds.');
    expect(checked).toContain('Last checkpoint: entry 9, signed at');
    expect(await run('verify')).toContain('Last checkpoint: entry 9, signed at');
    await run('record', 'export', '--to', elsewhere('export'));
    const [entries, checkpoints, keys] = [
      'outer-quill.entries.jsonl',
      'outer-quill.checkpoints.jsonl',
      'public-keys.pem',
    ];
    const exported = [entries, checkpoints, keys].map((name) => join(folder, 'export', name!));
    expect(await python(VERIFIER, ...exported)).toEqual({
      code: 0,
      out: 'ok: 9 entries of outer-quill, 5 checkpoints, signed up to entry 9\n',
    });
    const again = await stainwright(['record', 'export', '--to', elsewhere('export'), ...where], { env });
    await writeFile(elsewhere('empty.jsonl'), '');
    for (const [name, message] of [
      ['absent.jsonl', 'There is no file'],
      ['empty.jsonl', 'is empty, so there is nothing to hold the record against'],
    ] as const) {
      const refused = await stainwright(['verify', '--checkpoints', elsewhere(name), ...where], { env });
      expect(refused).toMatchObject({ code: 1, err: expect.stringContaining(message) });
    }
    expect(again).toMatchObject({ code: 1, err: expect.stringContaining('is not empty; name an empty folder') });
  });
});
