import pg from 'pg';
import type { DatabaseAddress } from '../../src/store/data-source.js';

/** A database of its own on that server, for as long as the work takes. */
export async function onPostgres(server: string, work: (address: DatabaseAddress) => Promise<void>): Promise<void> {
  const name = `bench_${process.pid}`;
  const admin = async (statement: string): Promise<void> => {
    const client = new pg.Client({ connectionString: server });
    await client.connect();
    await client.query(statement);
    await client.end();
  };
  await admin(`CREATE DATABASE ${name}`);
  const url = new URL(server);
  url.pathname = `/${name}`;
  try {
    await work({ kind: 'postgres', url: url.href });
  } finally {
    await admin(`DROP DATABASE ${name} WITH (FORCE)`);
  }
}
