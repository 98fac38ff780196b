import pg from 'pg';
import type { QueryRunner } from 'typeorm';
import type { Changed } from './changed.js';
import type { DatabaseAddress } from './data-source.js';

const CHANNEL = 'stainwright_changed';

/** Queues one notification per change in the running transaction; PostgreSQL sends them with the commit, in order. */
export async function tellOtherProcesses(runner: QueryRunner, changes: Changed[]): Promise<void> {
  for (const changed of changes) {
    await runner.query('SELECT pg_notify($1, $2)', [CHANNEL, JSON.stringify(changed)]);
  }
}

/**
 * Calls `hear` for each change that any process commits, this one included, until the answered function is called; and
 * `missed` when a lost connection is back, since what was committed meanwhile went unheard.
 */
export async function listenForChanges(
  address: Extract<DatabaseAddress, { kind: 'postgres' }>,
  hear: (changed: Changed) => void,
  missed: () => void,
): Promise<() => Promise<void>> {
  let stopped = false;
  let client: pg.Client;
  const open = async (): Promise<void> => {
    const next = new pg.Client({
      connectionString: address.url,
      ...(address.password === undefined ? {} : { password: address.password }),
    });
    next.on('notification', ({ payload }) => hear(JSON.parse(payload ?? '{}') as Changed));
    // One loss makes several errors and a single end.
    next.on('error', () => undefined);
    try {
      await next.connect();
      await next.query(`LISTEN ${CHANNEL}`);
    } catch (error) {
      await next.end();
      throw error;
    }
    client = next;
    client.once('end', () => void reopen());
  };
  const reopen = async (): Promise<void> => {
    while (!stopped) {
      await new Promise((resolve) => setTimeout(resolve, 1000));
      try {
        await open();
      } catch {
        // The database is still away; the next turn tries again.
        continue;
      }
      if (stopped) await client.end();
      else missed();
      return;
    }
  };
  await open();
  return async () => {
    stopped = true;
    await client.end();
  };
}
