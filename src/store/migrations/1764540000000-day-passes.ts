import type { MigrationInterface, QueryRunner } from 'typeorm';

/** Passes by which people take over a device without a network. */
const UP = [
  `CREATE TABLE day_pass (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, person_id text NOT NULL,
    badge_id text NOT NULL, public_key text NOT NULL, ends_at text NOT NULL, created_at text NOT NULL)`,
  `CREATE INDEX day_pass_person ON day_pass (laboratory_id, person_id)`,
];

export class DayPasses1764540000000 implements MigrationInterface {
  name = 'DayPasses1764540000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
