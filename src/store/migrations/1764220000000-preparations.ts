import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Recipes, what was made by them, and baths. */
const UP = [
  `CREATE TABLE recipe (${fact}, code text NOT NULL, content text NOT NULL, own boolean NOT NULL, at text NOT NULL,
    person_id text)`,
  `CREATE INDEX recipe_code ON recipe (laboratory_id, code)`,
  `CREATE TABLE preparation (${fact}, lot_id text NOT NULL, recipe_id text, at text NOT NULL, person_id text NOT NULL,
    volume text NOT NULL, lines text NOT NULL,
    CONSTRAINT "preparation_of" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"),
    CONSTRAINT "preparation_by" FOREIGN KEY ("recipe_id") REFERENCES "recipe" ("id"))`,
  `CREATE UNIQUE INDEX preparation_lot ON preparation (lot_id)`,
  `CREATE TABLE preparation_reading (${fact}, lot_id text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    reading text NOT NULL,
    CONSTRAINT "preparation_reading_of" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"))`,
  `CREATE INDEX preparation_reading_lot ON preparation_reading (lot_id)`,

  `CREATE TABLE bath (${fact}, container_id text NOT NULL, at text NOT NULL, person_id text NOT NULL, station text NOT NULL,
    series text NOT NULL, position integer NOT NULL, max_slides integer, max_days integer, filter_every text, filtered_until text,
    CONSTRAINT "bath_is" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE UNIQUE INDEX bath_container ON bath (container_id)`,
  `CREATE TABLE bath_act (${fact}, container_id text NOT NULL, kind text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    until text, limits text, station text, series text, position integer, reason text,
    CONSTRAINT "bath_act_on" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX bath_act_container ON bath_act (container_id)`,
  `CREATE TABLE bath_use (${fact}, container_id text NOT NULL, run_id text NOT NULL, step text NOT NULL, at text NOT NULL,
    slides integer NOT NULL,
    CONSTRAINT "bath_use_of" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX bath_use_container ON bath_use (container_id)`,
  `CREATE INDEX bath_use_run ON bath_use (run_id)`,
];

export class Preparations1764220000000 implements MigrationInterface {
  name = 'Preparations1764220000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
