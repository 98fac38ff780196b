import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Pictures and what was measured in them; lots against lots. */
const UP = [
  `CREATE TABLE picture (${fact}, file_id text NOT NULL, field_file_id text, subject_kind text, subject_id text, requirement text,
    measuring text NOT NULL, exposure text NOT NULL, at text NOT NULL, person_id text,
    CONSTRAINT "picture_in" FOREIGN KEY ("file_id") REFERENCES "file" ("id"),
    CONSTRAINT "picture_field" FOREIGN KEY ("field_file_id") REFERENCES "file" ("id"))`,
  `CREATE INDEX picture_subject ON picture (subject_kind, subject_id)`,
  `CREATE TABLE measurement (${fact}, picture_id text NOT NULL, at text NOT NULL, metrics text, remarks text NOT NULL, refused text,
    width integer, height integer, CONSTRAINT "measurement_of" FOREIGN KEY ("picture_id") REFERENCES "picture" ("id"))`,
  `CREATE UNIQUE INDEX measurement_picture ON measurement (picture_id)`,
  `CREATE TABLE picture_progress (picture_id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, done double precision NOT NULL)`,

  `CREATE TABLE study (${fact}, lot_id text NOT NULL, old_lot_id text NOT NULL, protocol_id text NOT NULL, kind text NOT NULL,
    measurand text NOT NULL, unit text, metric text, categories text, design text NOT NULL, criteria text NOT NULL,
    at text NOT NULL, person_id text NOT NULL,
    CONSTRAINT "study_new_lot" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"),
    CONSTRAINT "study_old_lot" FOREIGN KEY ("old_lot_id") REFERENCES "lot" ("id"))`,
  `CREATE INDEX study_lot ON study (lot_id)`,
  `CREATE TABLE study_pair (${fact}, study_id text NOT NULL, material text NOT NULL, old_value double precision NOT NULL,
    new_value double precision NOT NULL, old_run_id text, new_run_id text, old_file_id text, new_file_id text,
    at text NOT NULL, person_id text NOT NULL,
    CONSTRAINT "study_pair_of" FOREIGN KEY ("study_id") REFERENCES "study" ("id"),
    CONSTRAINT "study_pair_old_run" FOREIGN KEY ("old_run_id") REFERENCES "run" ("id"),
    CONSTRAINT "study_pair_new_run" FOREIGN KEY ("new_run_id") REFERENCES "run" ("id"),
    CONSTRAINT "study_pair_old_file" FOREIGN KEY ("old_file_id") REFERENCES "file" ("id"),
    CONSTRAINT "study_pair_new_file" FOREIGN KEY ("new_file_id") REFERENCES "file" ("id"))`,
  `CREATE INDEX study_pair_study ON study_pair (study_id)`,
  `CREATE TABLE study_exclusion (${fact}, pair_id text NOT NULL, reason text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    CONSTRAINT "study_exclusion_of" FOREIGN KEY ("pair_id") REFERENCES "study_pair" ("id"))`,
  `CREATE UNIQUE INDEX study_exclusion_pair ON study_exclusion (pair_id)`,
  `CREATE TABLE study_decision (${fact}, study_id text NOT NULL, standing text NOT NULL, reason text NOT NULL, deviation text, results text NOT NULL,
    at text NOT NULL, signature text NOT NULL,
    CONSTRAINT "study_decision_of" FOREIGN KEY ("study_id") REFERENCES "study" ("id"))`,
  `CREATE UNIQUE INDEX study_decision_study ON study_decision (study_id)`,
];

export class Studies1764280000000 implements MigrationInterface {
  name = 'Studies1764280000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
