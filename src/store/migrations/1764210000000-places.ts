import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Storage places, their temperatures and excursions, looks at picric acid, and who wrote a catalogue entry. */
const UP = [
  `ALTER TABLE reagent ADD COLUMN person_id text`,

  `CREATE INDEX movement_place ON movement (laboratory_id, place)`,

  `CREATE TABLE place (${fact}, code text NOT NULL, name text NOT NULL, min double precision, max double precision,
    dark boolean NOT NULL, classes text, apart boolean NOT NULL, at text NOT NULL, person_id text)`,
  `CREATE INDEX place_code ON place (laboratory_id, code)`,
  `CREATE TABLE temperature (${fact}, place text NOT NULL, since text NOT NULL, until text NOT NULL, readings text NOT NULL,
    how text NOT NULL, person_id text)`,
  `CREATE INDEX temperature_place ON temperature (laboratory_id, place, until)`,
  `CREATE TABLE excursion (${fact}, place text NOT NULL, since text NOT NULL, min double precision, max double precision)`,
  `CREATE INDEX excursion_place ON excursion (laboratory_id, place)`,
  `CREATE TABLE excursion_end (${fact}, excursion_id text NOT NULL, until text NOT NULL,
    CONSTRAINT "excursion_end_of" FOREIGN KEY ("excursion_id") REFERENCES "excursion" ("id"))`,
  `CREATE INDEX excursion_end_excursion ON excursion_end (excursion_id)`,
  `CREATE TABLE water_check (${fact}, container_id text NOT NULL, at text NOT NULL, person_id text, wet boolean NOT NULL,
    note text, CONSTRAINT "water_check_of" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX water_check_container ON water_check (container_id)`,
];

export class Places1764210000000 implements MigrationInterface {
  name = 'Places1764210000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
