import type { Clock } from './clock.js';
import type { Config } from './config.js';
import { connect, type Connections, disconnect } from './store/data-source.js';
import { laboratoriesHere } from './store/questions/laboratories.js';
import { Store } from './store/store.js';

/** The program cannot start, for a reason that whoever starts it can mend. */
export class StartError extends Error {
  constructor(message: string) {
    super(message);
    this.name = 'StartError';
  }
}

/** Opens the store of a process, unless its database is not for this kind of start. */
export async function openStore(config: Config, clock: Clock): Promise<Store> {
  const { database } = config;
  const where = database.kind === 'sqlite' ? database.file : new URL(database.url).host;
  let connections: Connections;
  try {
    connections = await connect(database);
  } catch (error) {
    const remedy = database.kind === 'sqlite' ? 'look at the file and at DATA_DIR' : 'start it, or change DATABASE_URL';
    throw new StartError(`The database ${where} cannot be opened (${reason(error)}); ${remedy}.`);
  }
  const store = new Store(connections, clock);
  try {
    await refuseOtherKind(store, config, where);
    await store.listen();
  } catch (error) {
    await disconnect(connections);
    throw error;
  }
  return store;
}

async function refuseOtherKind(store: Store, { laboratoryId, demo }: Config, where: string): Promise<void> {
  const laboratories = await store.read(laboratoryId, laboratoriesHere);
  const other = laboratories.find((laboratory) => laboratory.demo !== demo);
  if (!other) return;
  throw new StartError(
    demo
      ? `The database ${where} holds the real laboratory "${other.id}", which the demo must not touch; ` +
          'start without STAINWRIGHT_DEMO=on, or give the demo a database of its own.'
      : `The database ${where} holds the invented laboratory "${other.id}" of the demo, whose accounts everyone knows; ` +
          'give this laboratory a database of its own (DATA_DIR or DATABASE_URL), or start with STAINWRIGHT_DEMO=on.',
  );
}

/** The first line of the error; several addresses that refuse make one error without words of its own. */
function reason(error: unknown): string {
  const { message, code } = error as { message?: string; code?: string };
  return (message || code || 'no reason given').split('\n', 1)[0] ?? '';
}
