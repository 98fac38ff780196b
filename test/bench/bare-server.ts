import Fastify from 'fastify';
import sqlite3 from 'sqlite3';

/** The baseline: a Fastify handler that inserts one row with sqlite3, as durably as the program does. */
const database = new sqlite3.Database(process.argv[2] as string);
const run = (sql: string, values: unknown[] = []): Promise<void> =>
  new Promise((resolve, reject) => database.run(sql, values, (error) => (error ? reject(error) : resolve())));
await run('PRAGMA journal_mode = WAL');
await run('PRAGMA synchronous = FULL');
await run('CREATE TABLE event (id integer PRIMARY KEY, body text NOT NULL)');

const app = Fastify();
app.post('/events', async (request) => {
  await run('INSERT INTO event (body) VALUES (?)', [JSON.stringify(request.body)]);
  return { ok: true };
});
await app.listen({ port: 0, host: '127.0.0.1' });
const address = app.server.address();
process.send?.({ port: typeof address === 'object' ? address?.port : 0 });
