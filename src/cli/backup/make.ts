import { existsSync } from 'node:fs';
import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { SystemClock } from '../../clock.js';
import { type Config, filesBeside, readConfig } from '../../config.js';
import { copySqlite, type RecordEnd, withSnapshot } from '../../store/snapshot.js';
import { addressOf } from '../open.js';
import { ArchiveWriter } from './archive.js';
import { FORMAT, type Manifest, PLACES } from './manifest.js';
import { dump } from './postgres.js';

export interface BackupOptions {
  database?: string;
  out: string;
  withSigningKey?: boolean;
}

/** Writes database, files, public keys and checkpoints into one file, while the program may go on running. */
export async function backup({ database, out, withSigningKey = false }: BackupOptions): Promise<void> {
  const config = readConfig(process.env);
  const archive = new ArchiveWriter(out);
  const staging = await mkdtemp(join(dirname(out), '.stainwright-backup-'));
  try {
    const at = new SystemClock().now();
    const records = await addDatabase(archive, staging, database);
    // After the database: what it names is there by then, and stays.
    await addFolders(archive, config, database);
    if (withSigningKey) await addSigningKey(archive, config);
    const kind = addressOf(database).kind;
    const demo = records.some((record) => record.demo);
    const { files } = archive;
    const manifest: Manifest = { format: FORMAT, at, database: kind, demo, signingKey: withSigningKey, records, files };
    await archive.close(manifest);
    tellMade(out, manifest);
  } catch (error) {
    await archive.drop();
    throw error;
  } finally {
    await rm(staging, { recursive: true, force: true });
  }
}

async function addDatabase(
  archive: ArchiveWriter,
  staging: string,
  database: string | undefined,
): Promise<RecordEnd[]> {
  const address = addressOf(database);
  const copy = join(staging, 'database');
  if (address.kind === 'sqlite') {
    if (!existsSync(address.file)) {
      throw new Error(`There is no database at ${address.file}; name it with --database, or set DATA_DIR.`);
    }
    const ends = await copySqlite(address.file, copy);
    await archive.add(PLACES.sqlite, copy, { packed: false });
    return ends;
  }
  const ends = await withSnapshot(address, (snapshot) => dump(address, snapshot, copy));
  await archive.add(PLACES.postgres, copy, { packed: true });
  return ends;
}

async function addFolders(archive: ArchiveWriter, config: Config, database: string | undefined): Promise<void> {
  const { publicKeys, folder } = config.checkpoints;
  const files = database === undefined ? config.filesDir : (filesBeside(database) ?? config.filesDir);
  for (const part of await namesIn(files)) {
    if (!/^[0-9a-f]{2}$/.test(part)) continue;
    for (const name of await namesIn(join(files, part))) {
      await archive.add(`${PLACES.files}${part}/${name}`, join(files, part, name), { packed: true });
    }
  }
  for (const [place, from, ending] of [
    [PLACES.publicKeys, publicKeys, '.pem'],
    [PLACES.checkpoints, folder, '.jsonl'],
  ] as const) {
    for (const name of await namesIn(from)) {
      if (name.endsWith(ending)) await archive.add(`${place}${name}`, join(from, name), { packed: false });
    }
  }
}

async function addSigningKey(archive: ArchiveWriter, { checkpoints }: Config): Promise<void> {
  if (!existsSync(checkpoints.keyFile)) {
    throw new Error(`There is no signing key at ${checkpoints.keyFile}; set CHECKPOINT_KEY_FILE, or leave it out.`);
  }
  await archive.add(PLACES.signingKey, checkpoints.keyFile, { packed: false });
}

async function namesIn(folder: string): Promise<string[]> {
  return existsSync(folder) ? (await readdir(folder)).sort() : [];
}

function tellMade(out: string, { records, files, signingKey }: Manifest): void {
  const kept = files.filter(({ name }) => name.startsWith(PLACES.files)).length;
  for (const { laboratory, name, seq, hash } of records)
    tell(`${laboratory} (${name}): up to entry ${seq}, hash ${hash}`);
  tell(`${out}: database, ${kept} kept files, ${files.length} files in all, each with its SHA-256 in the manifest.`);
  tell(
    signingKey
      ? 'The key that signs checkpoints is in it: whoever has this file can sign in its name. Keep it locked away.'
      : 'The key that signs checkpoints is not in it; keep that one apart (--with-signing-key puts it in).',
  );
  tell(
    'It holds patients’ identifiers as the database does. Try it out: stainwright restore --from FILE --data FOLDER.',
  );
}

function tell(line: string): void {
  process.stdout.write(`${line}\n`);
}
