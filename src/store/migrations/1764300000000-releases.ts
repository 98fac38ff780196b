import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Releases by exception, amended, withdrawn, held back. */
const UP = [
  `ALTER TABLE release ADD COLUMN exception text`,
  `ALTER TABLE release ADD COLUMN amends text`,
  `ALTER TABLE release ADD COLUMN answer_id text`,
  `ALTER TABLE release ADD COLUMN place text`,
  `CREATE TABLE release_withdrawal (${fact}, release_id text NOT NULL, at text NOT NULL, reason text NOT NULL, told text NOT NULL,
    signature text NOT NULL, CONSTRAINT "release_withdrawal_of" FOREIGN KEY ("release_id") REFERENCES "release" ("id"))`,
  `CREATE INDEX release_withdrawal_release ON release_withdrawal (release_id)`,
  `CREATE TABLE release_hold (${fact}, run_id text NOT NULL, subject_id text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    holds boolean NOT NULL, reason text NOT NULL,
    CONSTRAINT "release_hold_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"))`,
  `CREATE INDEX release_hold_run ON release_hold (run_id)`,
];

export class Releases1764300000000 implements MigrationInterface {
  name = 'Releases1764300000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
