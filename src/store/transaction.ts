import type { QueryRunner } from 'typeorm';
import { Refusal } from '../core/refusal.js';
import type { DatabaseAddress } from './data-source.js';
import type { Pending } from './pending.js';
import type { HeadRow } from './rows/record.entity.js';
import { literal, runScript } from './sqlite-script.js';

/** Begins a transaction that writes; on SQLite it takes the write lock at once, so that it never fails halfway for it. */
export async function begin(runner: QueryRunner, kind: DatabaseAddress['kind']): Promise<void> {
  if (kind === 'postgres') await runner.query('BEGIN');
  else await runScript(runner, ['BEGIN IMMEDIATE']);
}

/** Writes what is pending and where each record now ends, and commits. */
export async function commit(
  runner: QueryRunner,
  kind: DatabaseAddress['kind'],
  pending: Pending,
  heads: Iterable<HeadRow>,
): Promise<void> {
  const ends = [...heads].map(
    ({ laboratoryId, seq, hash }) =>
      `UPDATE record_head SET seq = ${seq}, hash = ${literal(hash)} WHERE laboratory_id = ${literal(laboratoryId)}`,
  );
  if (kind === 'sqlite') {
    await runScript(runner, [...pending.takeScript(), ...ends, 'COMMIT']);
    return;
  }
  await pending.flush(runner);
  for (const statement of ends) await runner.query(statement);
  try {
    await runner.query('COMMIT');
  } catch (error) {
    throw new UnknownOutcome(error);
  }
}

/** The database went away in the middle of a commit: what it was told may or may not be kept, so nothing is done again. */
export class UnknownOutcome extends Refusal {
  constructor(override readonly cause: unknown) {
    super(
      'unavailable',
      'outcome-unknown',
      'The database went away while this was being saved, and may or may not have kept it. Send it again with the same idempotency key, which has one effect, or look first.',
    );
  }
}
