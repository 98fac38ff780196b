import type { MigrationInterface, QueryRunner } from 'typeorm';

/** That a note left at a shift change is seen to, once. */
const UP = [
  `CREATE TABLE hand_over_note_end (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL,
    note_id text NOT NULL, at text NOT NULL, person_id text NOT NULL)`,
  `CREATE UNIQUE INDEX hand_over_note_end_note ON hand_over_note_end (note_id)`,
];

export class HandOverEnds1764600000000 implements MigrationInterface {
  name = 'HandOverEnds1764600000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
