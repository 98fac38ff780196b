import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Competence of people, instruments, and rounds of external assessment. */
const UP = [
  `CREATE TABLE competence (${fact}, person_id text NOT NULL, protocol_id text NOT NULL, decision text NOT NULL, at text NOT NULL,
    revision integer NOT NULL, until text, elements text NOT NULL, reason text NOT NULL, signature text NOT NULL,
    CONSTRAINT "competence_of" FOREIGN KEY ("person_id") REFERENCES "person" ("id"))`,
  `CREATE INDEX competence_person ON competence (person_id, protocol_id)`,

  `CREATE TABLE instrument (${fact}, code text NOT NULL, name text NOT NULL, kind text NOT NULL, serial text,
    calibrated boolean NOT NULL)`,
  `CREATE UNIQUE INDEX instrument_code ON instrument (laboratory_id, code)`,
  `CREATE TABLE instrument_act (${fact}, instrument_id text NOT NULL, kind text NOT NULL, at text NOT NULL, person_id text,
    passed boolean, until text, station text, file_id text, note text NOT NULL,
    CONSTRAINT "instrument_act_of" FOREIGN KEY ("instrument_id") REFERENCES "instrument" ("id"))`,
  `CREATE INDEX instrument_act_instrument ON instrument_act (instrument_id)`,

  `CREATE TABLE assessment_round (${fact}, body text NOT NULL, round text NOT NULL, protocol_id text NOT NULL,
    received_at text NOT NULL, due_at text NOT NULL, samples integer NOT NULL)`,
  `CREATE INDEX assessment_round_received ON assessment_round (laboratory_id, received_at)`,
  `CREATE TABLE assessment_round_act (${fact}, round_id text NOT NULL, kind text NOT NULL, at text NOT NULL, person_id text,
    data text NOT NULL, CONSTRAINT "assessment_round_act_of" FOREIGN KEY ("round_id") REFERENCES "assessment_round" ("id"))`,
  `CREATE INDEX assessment_round_act_round ON assessment_round_act (round_id)`,
];

export class People1764290000000 implements MigrationInterface {
  name = 'People1764290000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
