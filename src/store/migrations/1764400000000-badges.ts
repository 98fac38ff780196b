import type { MigrationInterface, QueryRunner } from 'typeorm';

/** Badges, and how a session was opened. */
const UP = [
  `CREATE TABLE badge (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, person_id text NOT NULL,
    pin_hash text NOT NULL, failures integer NOT NULL, locked_until text, created_at text NOT NULL)`,
  `CREATE UNIQUE INDEX badge_person ON badge (laboratory_id, person_id)`,
  `ALTER TABLE session ADD COLUMN opened_by text`,
];

export class Badges1764400000000 implements MigrationInterface {
  name = 'Badges1764400000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
