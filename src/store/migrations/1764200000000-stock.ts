import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** The ledger, files, holds, what was made of what, and lookbacks. */
const UP = [
  `ALTER TABLE lot ADD COLUMN expiry_set_here boolean`,
  `ALTER TABLE lot ADD COLUMN intended_use text`,
  `ALTER TABLE lot ADD COLUMN kit text`,
  `ALTER TABLE lot ADD COLUMN kit_lot text`,
  `ALTER TABLE lot ADD COLUMN product_code text`,
  `ALTER TABLE lot ADD COLUMN order_id text`,
  `ALTER TABLE lot ADD COLUMN price_cents integer`,
  `ALTER TABLE lot_act ADD COLUMN evidence text`,
  `ALTER TABLE container ADD COLUMN micro double precision`,
  `ALTER TABLE container ADD COLUMN vessel text`,

  `CREATE TABLE component (${fact}, lot_id text NOT NULL, container_id text NOT NULL, at text NOT NULL, micro double precision,
    CONSTRAINT "component_of" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"),
    CONSTRAINT "component_from" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX component_lot ON component (lot_id)`,
  `CREATE INDEX component_container ON component (container_id)`,
  `CREATE TABLE hold (${fact}, container_id text NOT NULL, at text NOT NULL, kind text NOT NULL, cause_id text, reason text NOT NULL,
    CONSTRAINT "hold_on" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX hold_container ON hold (container_id)`,
  `CREATE TABLE hold_end (${fact}, hold_id text NOT NULL, at text NOT NULL, person_id text NOT NULL, usable boolean NOT NULL,
    reason text NOT NULL, CONSTRAINT "hold_end_of" FOREIGN KEY ("hold_id") REFERENCES "hold" ("id"))`,
  `CREATE INDEX hold_end_hold ON hold_end (hold_id)`,

  `CREATE TABLE movement (${fact}, kind text NOT NULL, container_id text NOT NULL, reagent_code text NOT NULL,
    micro double precision NOT NULL, at text NOT NULL, day text NOT NULL, person_id text, run_id text, lot_id text, place text,
    reason text, short_micro double precision,
    CONSTRAINT "movement_of" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX movement_container ON movement (container_id)`,
  `CREATE INDEX movement_reagent_day ON movement (laboratory_id, reagent_code, day)`,
  `CREATE INDEX movement_run ON movement (run_id)`,

  `CREATE TABLE file (${fact}, name text NOT NULL, media_type text NOT NULL, bytes integer NOT NULL, sha256 text NOT NULL,
    person_id text)`,
  `CREATE INDEX file_sha256 ON file (laboratory_id, sha256)`,

  `CREATE TABLE lookback (${fact}, cause text NOT NULL, cause_id text NOT NULL, at text NOT NULL, person_id text,
    reason text NOT NULL)`,
  `CREATE INDEX lookback_cause ON lookback (cause, cause_id)`,
  `CREATE TABLE lookback_answer (${fact}, lookback_id text NOT NULL, run_id text NOT NULL, subject_id text NOT NULL,
    outcome text NOT NULL, reason text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    CONSTRAINT "lookback_answer_of" FOREIGN KEY ("lookback_id") REFERENCES "lookback" ("id"))`,
  `CREATE INDEX lookback_answer_lookback ON lookback_answer (lookback_id)`,
  `CREATE TABLE lookback_close (${fact}, lookback_id text NOT NULL, at text NOT NULL, reason text NOT NULL,
    signature text NOT NULL, CONSTRAINT "lookback_close_of" FOREIGN KEY ("lookback_id") REFERENCES "lookback" ("id"))`,
  `CREATE INDEX lookback_close_lookback ON lookback_close (lookback_id)`,
];

export class Stock1764200000000 implements MigrationInterface {
  name = 'Stock1764200000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
