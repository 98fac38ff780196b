import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Evidence packs: asked for, what became of them, how far they are. */
const UP = [
  `CREATE TABLE pack (${fact}, at text NOT NULL, person_id text, scope text NOT NULL)`,
  `CREATE TABLE pack_act (${fact}, pack_id text NOT NULL, kind text NOT NULL, at text NOT NULL, person_id text, manifest text,
    bytes double precision, message text, CONSTRAINT "pack_act_of" FOREIGN KEY ("pack_id") REFERENCES "pack" ("id"))`,
  `CREATE INDEX pack_act_pack ON pack_act (pack_id)`,
  `CREATE TABLE pack_progress (pack_id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, part text NOT NULL,
    done double precision NOT NULL, total double precision NOT NULL, worker text NOT NULL, until text NOT NULL)`,
];

export class Packs1764340000000 implements MigrationInterface {
  name = 'Packs1764340000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
