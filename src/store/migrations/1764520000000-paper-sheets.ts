import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Numbered sheets for work on paper, and what became of each. */
const UP = [
  `CREATE TABLE paper_sheet (${fact}, number integer NOT NULL, label text NOT NULL, revision_id text NOT NULL,
    at text NOT NULL, person_id text NOT NULL,
    CONSTRAINT "paper_sheet_of" FOREIGN KEY ("revision_id") REFERENCES "revision" ("id"))`,
  `CREATE UNIQUE INDEX paper_sheet_number ON paper_sheet (laboratory_id, number)`,
  `CREATE TABLE paper_sheet_end (${fact}, sheet_id text NOT NULL, run_id text, reason text, file_id text,
    at text NOT NULL, person_id text NOT NULL,
    CONSTRAINT "paper_sheet_ended" FOREIGN KEY ("sheet_id") REFERENCES "paper_sheet" ("id"),
    CONSTRAINT "paper_sheet_run" FOREIGN KEY ("run_id") REFERENCES "run" ("id"),
    CONSTRAINT "paper_sheet_file" FOREIGN KEY ("file_id") REFERENCES "file" ("id"))`,
  `CREATE UNIQUE INDEX paper_sheet_end_sheet ON paper_sheet_end (sheet_id)`,
];

export class PaperSheets1764520000000 implements MigrationInterface {
  name = 'PaperSheets1764520000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
