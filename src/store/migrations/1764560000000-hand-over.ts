import type { MigrationInterface, QueryRunner } from 'typeorm';

/** Notes left at a shift change, and since when a badge has a PIN: one that was given has none until its owner sets it. */
const UP = [
  `CREATE TABLE hand_over_note (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL,
    text text NOT NULL, at text NOT NULL, person_id text NOT NULL)`,
  `CREATE INDEX hand_over_note_at ON hand_over_note (laboratory_id, at)`,
  `ALTER TABLE badge ADD COLUMN pin_at text`,
  `UPDATE badge SET pin_at = created_at`,
];

export class HandOver1764560000000 implements MigrationInterface {
  name = 'HandOver1764560000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
