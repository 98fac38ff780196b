import type { MigrationInterface, QueryRunner } from 'typeorm';

/** Signed checkpoints of the record. */
export class Checkpoint1764100000000 implements MigrationInterface {
  name = 'Checkpoint1764100000000';

  async up(runner: QueryRunner): Promise<void> {
    await runner.query(
      `CREATE TABLE checkpoint (laboratory_id text NOT NULL, number integer NOT NULL, seq integer NOT NULL,
        hash text NOT NULL, at text NOT NULL, key_id text NOT NULL, statement text NOT NULL, signature text NOT NULL,
        PRIMARY KEY (laboratory_id, number))`,
    );
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
