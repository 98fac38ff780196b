import { existsSync, readdirSync } from 'node:fs';
import { mkdir, mkdtemp, rename, rm, rmdir } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { SystemClock } from '../../clock.js';
import { type Config, readConfig } from '../../config.js';
import { signedHere } from '../../store/checkpoints/checkpoints.js';
import { publicKeysHere } from '../../store/checkpoints/keys.js';
import { connect, type DatabaseAddress } from '../../store/data-source.js';
import { FileFolder } from '../../store/files/folder.js';
import { laboratoryIds } from '../../store/questions/verify.js';
import { HeadRow } from '../../store/rows/record.entity.js';
import { tablesOf } from '../../store/snapshot.js';
import { Store } from '../../store/store.js';
import { reportRecord } from '../verify.js';
import { type Archive, below, withArchive } from './archive.js';
import { type Manifest, PLACES, readManifest } from './manifest.js';
import { load } from './postgres.js';

export interface RestoreOptions {
  from: string;
  data: string;
  database?: string;
}

/**
 * Brings a backup back into a new data folder, and into an empty database where it is PostgreSQL's. Nothing that is there
 * is touched; what was brought back is checked as `verify` does before the folder has its name.
 */
export async function restore({ from, data, database }: RestoreOptions): Promise<void> {
  const to = resolve(data);
  refuseExisting(to);
  await withArchive(from, async (archive) => {
    const manifest = readManifest(await archive.text(PLACES.manifest));
    const target = await targetOf(manifest, database);
    await mkdir(dirname(to), { recursive: true });
    const staging = await mkdtemp(join(dirname(to), `.${basename(to)}-restoring-`));
    try {
      const config = configIn(staging, manifest);
      await unpack(archive, manifest, config, staging);
      tell(`The backup of ${manifest.at} is whole: ${manifest.files.length} files as the manifest says.`);
      if (target) await load(target, join(staging, PLACES.postgres));
      const address = target ?? config.database;
      const faults = await check(address, config, manifest);
      if (target) await rm(join(staging, PLACES.postgres));
      if (existsSync(to)) await rmdir(to);
      await rename(staging, to);
      tellDone(to, manifest, faults, address);
    } catch (error) {
      await rm(staging, { recursive: true, force: true });
      throw error;
    }
  });
}

function refuseExisting(to: string): void {
  if (existsSync(to) && readdirSync(to).length > 0) {
    throw new Error(`${to} is not empty; nothing is ever restored over what is there. Name a new folder.`);
  }
}

/** The empty database that a PostgreSQL backup goes into; null for SQLite, whose file lies in the folder. */
async function targetOf(
  manifest: Manifest,
  database: string | undefined,
): Promise<Extract<DatabaseAddress, { kind: 'postgres' }> | null> {
  const given = database !== undefined && /^postgres(ql)?:\/\//.test(database);
  if (manifest.database === 'sqlite') {
    if (database !== undefined) throw new Error('This is a backup of a SQLite file; leave --database out.');
    return null;
  }
  if (!given) throw new Error('This is a backup of PostgreSQL; name an empty database: --database postgres://…');
  const address = { kind: 'postgres' as const, url: database };
  const tables = await tablesOf(address);
  if (tables.length > 0) {
    throw new Error(
      `The database is not empty (it has ${tables.slice(0, 3).join(', ')}${tables.length > 3 ? ', …' : ''}); nothing is ever restored over what is there. Name a new one.`,
    );
  }
  return address;
}

/** Where a program with this data folder looks for its things. */
function configIn(folder: string, { demo }: Manifest): Config {
  return readConfig({ DATA_DIR: folder, STAINWRIGHT_DEMO: demo ? 'on' : 'off' });
}

/** Writes every file to its place and holds each against the manifest; nothing more and nothing less may be there. */
async function unpack(archive: Archive, manifest: Manifest, config: Config, staging: string): Promise<void> {
  const wanted = new Set<string>([PLACES.manifest, ...manifest.files.map(({ name }) => name)]);
  const more = archive.names.filter((name) => !wanted.has(name));
  if (more.length > 0) throw new Error(`The backup holds ${more[0]}, which its manifest does not name; take another.`);
  for (const { name, bytes, sha256 } of manifest.files) {
    const found = await archive.extract(name, placeOf(name, config, staging));
    if (found.bytes !== bytes || found.sha256 !== sha256) {
      throw new Error(`${name} is not what the manifest says; the backup was changed or damaged. Take another.`);
    }
  }
}

function placeOf(name: string, { database, filesDir }: Config, staging: string): string {
  if (name === PLACES.sqlite && database.kind === 'sqlite') return database.file;
  if (name.startsWith(PLACES.files)) return below(filesDir, name.slice(PLACES.files.length));
  return below(staging, name);
}

/** Checks the record as `verify` does, and that it ends where the manifest says; answers the number of faults. */
async function check(address: DatabaseAddress, config: Config, { records }: Manifest): Promise<number> {
  const { checkpoints: places, filesDir } = config;
  const store = new Store(await connect(address), new SystemClock());
  try {
    const ids = await store.read('', laboratoryIds);
    const each = await Promise.all(ids.map((id) => store.read(id, (view) => signedHere(view, places))));
    const evidence = { signed: each.flat(), publicKeys: publicKeysHere(places), files: new FileFolder(filesDir) };
    let faults = await reportRecord(store, evidence, tell);
    for (const { laboratory, seq, hash } of records) {
      const head = await store.read(laboratory, (view) => view.one(HeadRow, {}));
      if (head?.seq === seq && head.hash === hash) continue;
      faults += 1;
      tell(`${laboratory}: the record ends with entry ${head?.seq ?? 0}, the backup was made at entry ${seq}.`);
    }
    return faults;
  } finally {
    await store.close();
  }
}

function tellDone(to: string, { at, demo, signingKey }: Manifest, faults: number, address: DatabaseAddress): void {
  const where = address.kind === 'sqlite' ? '' : ', DATABASE_URL to its database';
  tell(`Restored to ${to}. Start the program with DATA_DIR=${to}${where}${demo ? ', STAINWRIGHT_DEMO=on' : ''}.`);
  tell(`Whatever happened after ${at} is not in it; accounts and endpoints that were closed later are open again.`);
  if (!signingKey) {
    tell(
      'The key that signs checkpoints was not in the backup: put yours into keys/checkpoint.pem, or a new one is made.',
    );
  }
  if (faults === 0) return;
  tell(`The record does not hold: ${faults} faults, told above. They were in the backup; compare an older one.`);
  process.exitCode = 1;
}

function tell(line: string): void {
  process.stdout.write(`${line}\n`);
}
