import type { QueryRunner } from 'typeorm';
import type sqlite3 from 'sqlite3';
import type { DatabaseAddress } from './data-source.js';
import type { HeadRow } from './rows/record.entity.js';

/** Begins a transaction that writes; on SQLite it takes the write lock at once, so that it never fails halfway for it. */
export async function begin(runner: QueryRunner, kind: DatabaseAddress['kind']): Promise<void> {
  if (kind === 'postgres') await runner.query('BEGIN');
  else await execute(runner, 'BEGIN IMMEDIATE');
}

/** Writes where each record now ends and commits. */
export async function commit(
  runner: QueryRunner,
  kind: DatabaseAddress['kind'],
  heads: Iterable<HeadRow>,
): Promise<void> {
  const statements = [...heads].map(
    ({ laboratoryId, seq, hash }) =>
      `UPDATE record_head SET seq = ${seq}, hash = ${quoted(hash)} WHERE laboratory_id = ${quoted(laboratoryId)}`,
  );
  if (kind === 'postgres') {
    for (const statement of [...statements, 'COMMIT']) await runner.query(statement);
  } else {
    await execute(runner, [...statements, 'COMMIT'].join(';'));
  }
}

/** Several statements in one call of the driver: each would cost two trips to its thread and back. */
async function execute(runner: QueryRunner, statements: string): Promise<void> {
  const database = (await runner.connect()) as sqlite3.Database;
  await new Promise<void>((resolve, reject) => {
    database.exec(statements, (error) => (error ? reject(error) : resolve()));
  });
}

function quoted(text: string): string {
  return `'${text.replaceAll("'", "''")}'`;
}
