import pg from 'pg';
import sqlite3 from 'sqlite3';
import type { DatabaseAddress } from './data-source.js';

// A backup is taken before an upgrade, so nothing here brings a schema up to date.

/** How far the record of one laboratory goes. */
export interface RecordEnd {
  laboratory: string;
  name: string;
  demo: boolean;
  seq: number;
  hash: string;
}

const ENDS = `SELECT laboratory.id AS laboratory, laboratory.name, laboratory.demo, record_head.seq, record_head.hash
  FROM laboratory JOIN record_head ON record_head.laboratory_id = laboratory.id ORDER BY laboratory.id`;

/** Copies a SQLite file as it stands at one moment, while others write to it; answers how far the copy's record goes. */
export async function copySqlite(file: string, to: string): Promise<RecordEnd[]> {
  await withSqlite(file, (db) => allOf(db, 'VACUUM INTO $1', { $1: to }));
  return withSqlite(to, (db) => allOf<RecordEnd>(db, ENDS)).then((ends) =>
    ends.map((end) => ({ ...end, demo: Boolean(end.demo) })),
  );
}

type PostgresAddress = Extract<DatabaseAddress, { kind: 'postgres' }>;

/** Does something with the name of a moment of a PostgreSQL database; answers how far the record goes at that moment. */
export async function withSnapshot(
  address: PostgresAddress,
  work: (snapshot: string) => Promise<void>,
): Promise<RecordEnd[]> {
  return withPostgres(address, async (client) => {
    await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
    const named = await client.query<{ snapshot: string }>('SELECT pg_export_snapshot() AS snapshot');
    const { rows } = await client.query<RecordEnd>(ENDS);
    await work(named.rows[0]?.snapshot ?? '');
    await client.query('COMMIT');
    return rows;
  });
}

/** Names of the tables in a PostgreSQL database's own schema; none in a new one. */
export function tablesOf(address: PostgresAddress): Promise<string[]> {
  return withPostgres(address, async (client) => {
    const { rows } = await client.query<{ name: string }>(
      'SELECT tablename AS name FROM pg_tables WHERE schemaname = current_schema() ORDER BY tablename',
    );
    return rows.map(({ name }) => name);
  });
}

async function withPostgres<T>(
  { url, password }: PostgresAddress,
  work: (client: pg.Client) => Promise<T>,
): Promise<T> {
  const client = new pg.Client({ connectionString: url, ...(password === undefined ? {} : { password }) });
  await client.connect();
  try {
    return await work(client);
  } finally {
    await client.end();
  }
}

async function withSqlite<T>(file: string, work: (db: sqlite3.Database) => Promise<T>): Promise<T> {
  const db = await new Promise<sqlite3.Database>((resolve, reject) => {
    const opened: sqlite3.Database = new sqlite3.Database(file, sqlite3.OPEN_READWRITE, (error) =>
      error ? reject(error) : resolve(opened),
    );
  });
  db.configure('busyTimeout', 10_000);
  try {
    return await work(db);
  } finally {
    await new Promise<void>((resolve, reject) => db.close((error) => (error ? reject(error) : resolve())));
  }
}

function allOf<Row>(db: sqlite3.Database, sql: string, values: object = {}): Promise<Row[]> {
  return new Promise((resolve, reject) => {
    db.all<Row>(sql, values, (error, rows) => (error ? reject(error) : resolve(rows)));
  });
}
