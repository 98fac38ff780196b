import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** What reviewers were granted and what they looked at. */
const UP = [
  `CREATE TABLE review_grant (${fact}, person_id text NOT NULL, "from" text NOT NULL, "to" text NOT NULL, valid_from text NOT NULL,
    valid_until text NOT NULL, protocols text, areas text, reason text NOT NULL, at text NOT NULL, by_person_id text NOT NULL,
    CONSTRAINT "review_grant_to" FOREIGN KEY ("person_id") REFERENCES "person" ("id"))`,
  `CREATE INDEX review_grant_person ON review_grant (person_id)`,
  `CREATE TABLE review_grant_end (${fact}, grant_id text NOT NULL, at text NOT NULL, by_person_id text NOT NULL,
    reason text NOT NULL, CONSTRAINT "review_grant_end_of" FOREIGN KEY ("grant_id") REFERENCES "review_grant" ("id"))`,
  `CREATE INDEX review_grant_end_grant ON review_grant_end (grant_id)`,
  `CREATE TABLE look (${fact}, person_id text NOT NULL, grant_id text NOT NULL, at text NOT NULL, kind text NOT NULL,
    about text NOT NULL, asked text NOT NULL, period text)`,
  `CREATE INDEX look_person ON look (laboratory_id, person_id)`,
  `CREATE INDEX record_entry_at ON record_entry (laboratory_id, at)`,
];

export class Review1764350000000 implements MigrationInterface {
  name = 'Review1764350000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
