import { createHash } from 'node:crypto';
import { cpSync, readdirSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import { type Manifest, manifestText } from '../../src/core/pack/manifest.js';
import { manifestSeal } from '../../src/core/record/manifest-seal.js';
import { canonicalText, chainHash, type Entry, sha256 } from '../../src/core/record/record.js';
import { Outlet } from '../../src/packs/outlet.js';
import { writePack } from '../../src/packs/write-pack.js';
import { writeCheckpoint } from '../../src/store/checkpoints/checkpoints.js';
import { signingKey } from '../../src/store/checkpoints/keys.js';
import { connect } from '../../src/store/data-source.js';
import { addLaboratory } from '../../src/store/questions/laboratories.js';
import { SubjectRow } from '../../src/store/rows/specimens.entity.js';
import { Store } from '../../src/store/store.js';
import { LABORATORY, START } from '../support/app.js';
import { placesIn } from '../support/checkpoints.js';
import { freshSqlite, type FreshDatabase } from '../support/databases.js';
import { furnish } from '../support/furnish.js';
import { verifyPack } from '../support/packs.js';

const PROGRAM = { laboratoryId: LABORATORY, personId: null, deviceId: null };
/** Entries 1 to 8 with a checkpoint after each second one. */
const ENTRIES = 8;

describe('The independent verifier of evidence packs', () => {
  let database: FreshDatabase;
  let folder: string;
  let pack: string;
  let copies = 0;

  beforeAll(async () => {
    database = await freshSqlite();
    folder = await mkdtemp(join(tmpdir(), 'stainwright-verify-pack-'));
    const clock = new HandClock(Date.parse(START));
    const store = new Store(await connect(database.address), clock);
    const places = placesIn(folder);
    await store.housekeep(LABORATORY, (unit) =>
      addLaboratory(unit, { name: 'Saltmarrow Hospital', zone: 'Atlantic/Azores', demo: false, driftPpm: 100 }),
    );
    await furnish({ store });
    for (let n = 2; n <= ENTRIES; n += 1) {
      await store.change(PROGRAM, 'subject.registered', async (unit) => {
        const about = { kind: 'slide' as const, description: `slide ${n}`, irreplaceable: false };
        const { id } = await unit.insert(SubjectRow, { ...about, label: `SW1:L:QY-${n}` });
        await unit.seal(id, 'patient number', `Q-${n >> 1}`);
        unit.about('subject', id);
      });
      clock.forward(1000);
      if (n % 2 === 0) await writeCheckpoint(store, places, LABORATORY);
    }
    pack = join(folder, 'pack');
    const [from, to] = ['2026-11-25', '2026-11-25'];
    const bounds = { since: '2026-11-25T01:00:00.000Z', until: '2026-11-26T01:00:00.000Z' };
    const only = { protocols: [], people: [], lots: [], runs: [] };
    const scope = { from, to, ...bounds, identifiers: 'masked', chain: 'whole', only, shown: [] } as const;
    await writePack({
      store,
      laboratoryId: LABORATORY,
      pack: {
        id: 'pack-1',
        laboratoryId: LABORATORY,
        seq: 0,
        at: clock.now(),
        personId: null,
        scope: { ...scope, only, shown: [] },
      },
      outlet: Outlet.plain(pack),
      checkpoints: places,
      filesDir: folder,
      now: () => clock.now(),
      told: () => Promise.resolve(),
    });
    await store.close();
    for (const [name, kept] of [
      ['public-keys.pem', 'kept.pem'],
      ['checkpoints.jsonl', 'kept.jsonl'],
    ] as const)
      cpSync(join(pack, 'chain', name), join(folder, kept));
  });

  afterAll(async () => {
    await database.drop();
    await rm(folder, { recursive: true, force: true });
  });

  const kept = (): string[] => [join(folder, 'kept.pem'), join(folder, 'kept.jsonl')];

  /** A copy of the pack with something done to it. */
  function copy(work: (at: Copied) => void): string {
    const to = join(folder, `copy-${(copies += 1)}`);
    cpSync(pack, to, { recursive: true });
    work(new Copied(to, folder));
    return to;
  }

  it('says how it is used, and what it found whole', async () => {
    expect(await verifyPack()).toMatchObject({ code: 2, out: expect.stringContaining('PACK [PUBLIC_KEYS') });
    expect(await verifyPack(pack, ...kept())).toEqual({
      code: 0,
      out: expect.stringMatching(
        /^ok: \d+ files, entries 1 to 8 of outer-quill, signed up to 8, \d+ rows as recorded, 1 protocols and pictures, 7 sealed values masked\n$/,
      ),
    });
    expect((await verifyPack(pack)).out).toContain('by the keys in the pack itself');
  });

  // What anybody can do who holds the pack and no key.
  it.each<[string, (at: Copied) => void, string]>([
    [
      'a file was changed',
      (at) => at.edit('data/lots.csv', (text) => text.replace('QUILL', 'OTHER')),
      'data/lots.csv: it was changed',
    ],
    [
      'a file was removed',
      (at) => at.remove('data/lots.jsonl'),
      'data/lots.jsonl: the manifest names this file, and it is missing',
    ],
    [
      'a file was put in',
      (at) => at.put('data/more.jsonl', '{}\n'),
      'data/more.jsonl: the manifest does not name this file',
    ],
    ['a file was cut off', (at) => at.cut('chain/entries.jsonl'), 'chain/entries.jsonl: it was changed'],
    [
      'a file was changed and the manifest made to fit',
      (at) => {
        at.edit('data/lots.csv', (text) => text.replace('QUILL', 'OTHER'));
        at.fit();
      },
      'manifest.json: it was changed; the seal is that of another manifest',
    ],
  ])('finds that %s', async (_what, work, told) => {
    expect(await verifyPack(copy(work), ...kept())).toEqual({ code: 1, out: expect.stringContaining(told) });
  });

  // What the holder of the key can do: manifest and seal are made to fit each time.
  it.each<[string, (at: Copied) => void, RegExp]>([
    [
      'a row was changed',
      (at) => at.edit('data/subjects.jsonl', (text) => text.replace('slide 5', 'slide 9')),
      /^data\/subjects.jsonl, line \d+, subject \S+: the row is not as entry 5 recorded it/,
    ],
    [
      'a row was deleted',
      (at) =>
        at.lines('data/subjects.jsonl', (lines) => lines.filter((line) => !line.includes('slide 5')), 'subjects', -1),
      /^data\/subjects.csv: its rows are not those of the JSON lines/,
    ],
    [
      'a row was deleted, in both forms',
      (at) => {
        at.lines('data/subjects.jsonl', (lines) => lines.filter((line) => !line.includes('slide 5')), 'subjects', -1);
        at.edit('data/subjects.csv', (text) => text.replace(/^.*slide 5.*\r\n/m, ''));
      },
      /^subject \S+: entry 5 names this row, and it is not in the pack/,
    ],
    [
      'a row was put in',
      (at) =>
        at.lines(
          'data/subjects.jsonl',
          (lines) => [...lines, `${(lines.at(-1) ?? '').replace(/"id":"./, '"id":"f')}`],
          'subjects',
          1,
        ),
      /^data\/subjects.jsonl, line \d+, subject f\S+: no entry of the chain names this row/,
    ],
    [
      'rows were put in another order',
      (at) => at.lines('data/subjects.jsonl', (lines) => lines.reverse(), 'subjects', 0),
      /^data\/subjects.jsonl, line 2, subject \S+: it stands twice or out of order/,
    ],
    [
      'what stands for a masked value was taken out',
      (at) => {
        at.lines('data/identifiers.jsonl', (lines) => lines.slice(1), 'identifiers', -1);
        at.edit('data/identifiers.csv', (text) => text.split('\r\n').toSpliced(1, 1).join('\r\n'));
      },
      /^sealed_value \S+: entry 2 names this row, and it is not in the pack/,
    ],
    [
      'a protocol was changed',
      (at) => at.edit('protocols/ao-fresh-100.json', (text) => text.replace('"id":"ao-fresh"', '"id":"ao-other"')),
      /^protocols\/ao-fresh-100.json: it is not the content of revision 100/,
    ],
    [
      'an entry was changed',
      (at) =>
        at.chain((all) =>
          all.map((each) => (each.seq === 5 ? { ...each, body: each.body.replace('registered', 'rewritten') } : each)),
        ),
      /^record 5: its hash does not follow/,
    ],
    ['an entry was deleted', (at) => at.chain((all) => all.filter(({ seq }) => seq !== 5)), /^record 6: it follows 4/],
    [
      'an entry was put in',
      (at) =>
        at.chain((all) =>
          all.flatMap((each) => {
            if (each.seq < 5) return [each];
            if (each.seq > 5) return [{ ...each, seq: each.seq + 1 }];
            const { body } = all[3] as Link;
            return [
              { seq: 5, body, hash: chainHash((all[3] as Link).hash, body) },
              { ...each, seq: 6 },
            ];
          }),
        ),
      /^record 5: its text is that of entry 4/,
    ],
    [
      'entries were put in another order',
      (at) => at.chain(([a, b, c, d, e, f, ...rest]) => [a, b, c, d, f, e, ...rest] as Link[]),
      /^record 6: it follows 4/,
    ],
    [
      'the end of the chain was cut off',
      (at) => at.chain((all) => all.slice(0, 6)),
      /^record 6: the chain ends here, and the manifest says 8/,
    ],
    [
      'the chain was made anew from an entry on',
      (at) =>
        at.chain((all) => {
          let previous = (all[3] as Link).hash;
          return all.map((each): Link => {
            if (each.seq < 5) return each;
            const entry = JSON.parse(each.body) as Entry;
            const body = canonicalText(each.seq === 5 ? { ...entry, data: { forged: true } } : entry);
            previous = chainHash(previous, body);
            return { seq: each.seq, body, hash: previous };
          });
        }),
      /^record 6: another hash was signed; entries from 5 to 6 were changed or made anew/,
    ],
  ])('finds that %s', async (_what, work, told) => {
    const to = copy((at) => {
      work(at);
      at.fit();
      at.seal();
    });
    expect((await verifyPack(to, ...kept())).out).toMatch(told);
  });

  it('does not believe a pack whose entries nobody signed to the end, unless the checkpoints were kept elsewhere', async () => {
    const to = copy((at) => {
      at.edit('chain/checkpoints.jsonl', (text) => `${text.split('\n').slice(0, 2).join('\n')}\n`);
      at.fit();
      at.seal();
    });
    expect(await verifyPack(to, join(folder, 'kept.pem'))).toEqual({
      code: 1,
      out: 'record 8: only up to entry 4 was signed, and the period ends with 8\n',
    });
    expect(await verifyPack(to, ...kept())).toMatchObject({ code: 0, out: expect.stringContaining('signed up to 8') });
  });
});

interface Link {
  seq: number;
  body: string;
  hash: string;
}

/** A copy of a pack in the hands of somebody who wants it to say something else. */
class Copied {
  constructor(
    private readonly to: string,
    private readonly keys: string,
  ) {}

  edit(name: string, change: (text: string) => string): void {
    const before = readFileSync(join(this.to, name), 'utf8');
    const after = change(before);
    if (after === before) throw new Error(`nothing was changed in ${name}`);
    writeFileSync(join(this.to, name), after);
  }

  put(name: string, text: string): void {
    writeFileSync(join(this.to, name), text);
  }

  remove(name: string): void {
    rmSync(join(this.to, name));
  }

  cut(name: string): void {
    truncateSync(join(this.to, name), 1000);
  }

  lines(name: string, change: (lines: string[]) => string[], kind: string, more: number): void {
    this.edit(name, (text) => `${change(text.trimEnd().split('\n')).join('\n')}\n`);
    this.manifest(({ kinds, ...rest }) => ({
      ...rest,
      kinds: kinds.map((each) => (each.name === kind ? { ...each, rows: each.rows + more } : each)),
    }));
  }

  chain(change: (links: Link[]) => Link[]): void {
    this.edit('chain/entries.jsonl', (text) => {
      const links = text.trimEnd().split('\n');
      return change(links.map((line) => JSON.parse(line) as Link))
        .map((link) => `${canonicalText(link)}\n`)
        .join('');
    });
  }

  /** The manifest says of every file what it now is. */
  fit(): void {
    const names = readdirSync(this.to, { recursive: true, withFileTypes: true }).filter((each) => each.isFile());
    const files = names
      .map(({ parentPath, name }) => join(parentPath, name).slice(this.to.length + 1))
      .filter((name) => !name.startsWith('manifest.'))
      .map((name) => {
        const content = readFileSync(join(this.to, name));
        return { name, bytes: content.length, sha256: createHash('sha256').update(content).digest('hex') };
      });
    this.manifest((manifest) => ({ ...manifest, files }));
  }

  seal(): void {
    const manifest = sha256(readFileSync(join(this.to, 'manifest.json'), 'utf8'));
    const sealed = { laboratory: LABORATORY, pack: 'pack-1', at: START, manifest };
    writeFileSync(join(this.to, 'manifest.seal.json'), manifestSeal(sealed, signingKey(placesIn(this.keys))));
  }

  private manifest(change: (manifest: Manifest) => Manifest): void {
    const path = join(this.to, 'manifest.json');
    writeFileSync(path, manifestText(change(JSON.parse(readFileSync(path, 'utf8')) as Manifest)));
  }
}
