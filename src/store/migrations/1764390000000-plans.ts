import type { MigrationInterface, QueryRunner } from 'typeorm';

/** Accepted plans of the bench. */
const UP = [
  `CREATE TABLE bench_plan (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL,
    wanted text NOT NULL, hands text NOT NULL, places text NOT NULL, runs text NOT NULL, planned_at text NOT NULL,
    at text NOT NULL, person_id text NOT NULL)`,
  `CREATE INDEX bench_plan_at ON bench_plan (laboratory_id, seq)`,
];

export class Plans1764390000000 implements MigrationInterface {
  name = 'Plans1764390000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
