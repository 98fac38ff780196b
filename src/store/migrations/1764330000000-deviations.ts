import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Deviations and what is done about them. */
const UP = [
  `CREATE TABLE deviation (${fact}, number integer NOT NULL, at text NOT NULL, person_id text NOT NULL, subject text NOT NULL,
    subject_id text, finding text, run_id text, protocol_id text, step text, title text NOT NULL, what text NOT NULL,
    effect text NOT NULL, CONSTRAINT "deviation_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"))`,
  `CREATE UNIQUE INDEX deviation_number ON deviation (laboratory_id, number)`,
  `CREATE INDEX deviation_about ON deviation (laboratory_id, subject, subject_id)`,
  `CREATE INDEX deviation_run ON deviation (run_id)`,

  `CREATE TABLE deviation_act (${fact}, deviation_id text NOT NULL, kind text NOT NULL, at text NOT NULL,
    person_id text NOT NULL, data text NOT NULL,
    CONSTRAINT "deviation_act_of" FOREIGN KEY ("deviation_id") REFERENCES "deviation" ("id"))`,
  `CREATE INDEX deviation_act_deviation ON deviation_act (deviation_id)`,
];

export class Deviations1764330000000 implements MigrationInterface {
  name = 'Deviations1764330000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
