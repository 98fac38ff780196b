import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';
const signed = 'reason text NOT NULL, signature text NOT NULL';

/** For how long records are kept, and what may not go at all. */
const UP = [
  `CREATE TABLE keeping_term (${fact}, kind text NOT NULL, years integer NOT NULL, ${signed})`,
  `CREATE INDEX keeping_term_kind ON keeping_term (laboratory_id, kind)`,
  `CREATE TABLE legal_hold (${fact}, kinds text, "from" text, "to" text, ${signed})`,
  `CREATE TABLE legal_hold_end (${fact}, hold_id text NOT NULL, ${signed},
    CONSTRAINT "legal_hold_end_of" FOREIGN KEY ("hold_id") REFERENCES "legal_hold" ("id"))`,
  `CREATE INDEX legal_hold_end_hold ON legal_hold_end (hold_id)`,
];

export class Keeping1764370000000 implements MigrationInterface {
  name = 'Keeping1764370000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
