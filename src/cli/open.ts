import { existsSync } from 'node:fs';
import { SystemClock } from '../clock.js';
import { readConfig } from '../config.js';
import { connect, type DatabaseAddress } from '../store/data-source.js';
import { Store } from '../store/store.js';

/** Does something with the store of the database that is named, or else of the one that the environment says. */
export async function withStore<T>(database: string | undefined, work: (store: Store) => Promise<T>): Promise<T> {
  const address = addressOf(database);
  if (address.kind === 'sqlite' && !existsSync(address.file)) {
    throw new Error(
      `There is no database at ${address.file}; name it with --database, or set DATA_DIR, and STAINWRIGHT_DEMO=on for the demo's.`,
    );
  }
  const store = new Store(await connect(address), new SystemClock());
  try {
    return await work(store);
  } finally {
    await store.close();
  }
}

/** The database that is named, or else the one that the environment says. */
export function addressOf(given: string | undefined): DatabaseAddress {
  if (given === undefined) return readConfig(process.env).database;
  return /^postgres(ql)?:\/\//.test(given) ? { kind: 'postgres', url: given } : { kind: 'sqlite', file: given };
}
