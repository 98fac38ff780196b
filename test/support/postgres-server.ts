import pg from 'pg';

/** The address of a database on the tests' server. */
export function atDatabase(name: string): string {
  const url = new URL(process.env['TEST_POSTGRES_URL'] as string);
  url.pathname = `/${name}`;
  return url.href;
}

/** Statements for the server as a whole, on one connection. */
export async function onServer<T>(work: (ask: (statement: string) => Promise<unknown[]>) => Promise<T>): Promise<T> {
  const client = new pg.Client({ connectionString: process.env['TEST_POSTGRES_URL'] });
  await client.connect();
  try {
    return await work(async (statement) => (await client.query<Record<string, unknown>>(statement)).rows);
  } finally {
    await client.end();
  }
}
