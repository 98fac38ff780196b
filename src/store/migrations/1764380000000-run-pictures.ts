import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Pictures of what a run stained, and outlines of what was counted in measured ones. */
const UP = [
  `CREATE TABLE run_picture (${fact}, run_id text NOT NULL, subject_id text NOT NULL, step text, file_id text NOT NULL,
    exposure text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    CONSTRAINT "run_picture_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"),
    CONSTRAINT "run_picture_of" FOREIGN KEY ("file_id") REFERENCES "file" ("id"))`,
  `CREATE INDEX run_picture_run ON run_picture (run_id)`,
  `CREATE INDEX run_picture_file ON run_picture (file_id)`,
  `CREATE TABLE run_picture_back (${fact}, picture_id text NOT NULL, reason text NOT NULL, at text NOT NULL,
    person_id text NOT NULL, CONSTRAINT "run_picture_back_of" FOREIGN KEY ("picture_id") REFERENCES "run_picture" ("id"))`,
  `CREATE UNIQUE INDEX run_picture_back_picture ON run_picture_back (picture_id)`,
  `CREATE TABLE picture_outline (${fact}, picture_id text NOT NULL, file_id text NOT NULL, metric text NOT NULL,
    CONSTRAINT "picture_outline_of" FOREIGN KEY ("picture_id") REFERENCES "picture" ("id"),
    CONSTRAINT "picture_outline_in" FOREIGN KEY ("file_id") REFERENCES "file" ("id"))`,
  `CREATE UNIQUE INDEX picture_outline_picture ON picture_outline (picture_id)`,
];

export class RunPictures1764380000000 implements MigrationInterface {
  name = 'RunPictures1764380000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
