import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Releases that are looked at again because of what changed after them. */
const UP = [
  `CREATE TABLE second_look (${fact}, cause text NOT NULL, cause_id text NOT NULL, path text NOT NULL, at text NOT NULL,
    person_id text, reason text NOT NULL, asked integer NOT NULL)`,
  `CREATE TABLE release_question (${fact}, look_id text NOT NULL, release_id text NOT NULL,
    CONSTRAINT "release_question_of" FOREIGN KEY ("look_id") REFERENCES "second_look" ("id"),
    CONSTRAINT "release_question_on" FOREIGN KEY ("release_id") REFERENCES "release" ("id"))`,
  `CREATE INDEX release_question_look ON release_question (look_id)`,
  `CREATE INDEX release_question_release ON release_question (release_id)`,
  `CREATE TABLE release_answer (${fact}, question_id text NOT NULL, look_id text NOT NULL, release_id text NOT NULL,
    at text NOT NULL, outcome text NOT NULL, verdict text NOT NULL, judged_to integer NOT NULL, rules text NOT NULL,
    worse text NOT NULL, told text NOT NULL,
    CONSTRAINT "release_answer_to" FOREIGN KEY ("question_id") REFERENCES "release_question" ("id"))`,
  `CREATE UNIQUE INDEX release_answer_question ON release_answer (question_id)`,
  `CREATE INDEX release_answer_look ON release_answer (look_id)`,
  `CREATE INDEX release_answer_outcome ON release_answer (laboratory_id, outcome)`,
  `CREATE TABLE release_upheld (${fact}, release_id text NOT NULL, at text NOT NULL, reason text NOT NULL,
    verdict text NOT NULL, judged_to integer NOT NULL, rules text NOT NULL, findings text NOT NULL, signature text NOT NULL,
    second text, CONSTRAINT "release_upheld_of" FOREIGN KEY ("release_id") REFERENCES "release" ("id"))`,
  `CREATE INDEX release_upheld_release ON release_upheld (release_id)`,
];

export class SecondLooks1764320000000 implements MigrationInterface {
  name = 'SecondLooks1764320000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
