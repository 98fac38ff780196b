import { createHash, randomUUID } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { rename } from 'node:fs/promises';
import { join } from 'node:path';
import { connect, disconnect, type DatabaseAddress } from '../../src/store/data-source.js';
import { atDatabase, onServer } from './postgres-server.js';

/*
 * Databases that the migrations were run on once, to be copied: running them takes longer than most tests. Their name says
 * by which migrations, so that a changed one makes another.
 */

const STORE = 'src/store';
const KEPT = 'node_modules/.cache/stainwright-migrated';
/** Any number that no other lock on the tests' server has. */
const LOCK = 7_246_001;

function nameOfMigrations(): string {
  const folder = join(STORE, 'migrations');
  const files = [join(STORE, 'data-source.ts'), ...readdirSync(folder).map((file) => join(folder, file))];
  const hash = createHash('sha256');
  for (const file of files.sort()) hash.update(file).update('\0').update(readFileSync(file)).update('\0');
  return `migrated_${hash.digest('hex').slice(0, 16)}`;
}

async function migrate(address: DatabaseAddress): Promise<void> {
  await disconnect(await connect(address));
}

let sqlite: Promise<string> | undefined;
let postgres: Promise<string> | undefined;

/** The file to copy. */
export function migratedSqlite(): Promise<string> {
  return (sqlite ??= makeSqlite());
}

/** The name of the database to copy. */
export function migratedPostgres(): Promise<string> {
  return (postgres ??= makePostgres());
}

async function makeSqlite(): Promise<string> {
  mkdirSync(KEPT, { recursive: true });
  const file = join(KEPT, `${nameOfMigrations()}.sqlite`);
  if (existsSync(file)) return file;
  // Other workers may make it as well: each its own, and whichever is renamed last stays.
  const making = `${file}.${randomUUID()}`;
  await migrate({ kind: 'sqlite', file: making });
  await rename(making, file);
  return file;
}

/** Made under another name, so that one whose maker was killed is never taken for whole. */
function makePostgres(): Promise<string> {
  const name = nameOfMigrations();
  const making = `${name}_making`;
  return onServer(async (ask) => {
    await ask(`SELECT pg_advisory_lock(${LOCK})`);
    if ((await ask(`SELECT 1 FROM pg_database WHERE datname = '${name}'`)).length > 0) return name;
    await ask(`DROP DATABASE IF EXISTS ${making} WITH (FORCE)`);
    await ask(`CREATE DATABASE ${making}`);
    await migrate({ kind: 'postgres', url: atDatabase(making) });
    await ask(`ALTER DATABASE ${making} RENAME TO ${name}`);
    return name;
  });
}
