import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** What the gate looks at beyond: the laboratory's policy, cytology and tissue of specimens, patients told apart. */
const UP = [
  `ALTER TABLE subject ADD COLUMN cytology text`,
  `ALTER TABLE subject ADD COLUMN tissue_test text`,
  `ALTER TABLE subject ADD COLUMN patient text`,
  `CREATE INDEX sealed_value_patient ON sealed_value (laboratory_id, value) WHERE kind = 'patient number'`,
  `CREATE TABLE tissue_moment (${fact}, subject_id text NOT NULL, kind text NOT NULL, at text NOT NULL, fixative text,
    person_id text, reason text,
    CONSTRAINT "tissue_moment_of" FOREIGN KEY ("subject_id") REFERENCES "subject" ("id"))`,
  `CREATE INDEX tissue_moment_subject ON tissue_moment (subject_id)`,
  `CREATE TABLE gate_policy (${fact}, number integer NOT NULL, content text NOT NULL, content_hash text NOT NULL,
    effective_from text NOT NULL, at text NOT NULL, person_id text NOT NULL, reason text NOT NULL, eases text NOT NULL,
    signature text NOT NULL)`,
  `CREATE UNIQUE INDEX gate_policy_number ON gate_policy (laboratory_id, number)`,
];

export class Policies1764310000000 implements MigrationInterface {
  name = 'Policies1764310000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
