import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';
const own = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL';

/** Recalls, what leads from a container to its runs, alerts, mail and calendar addresses. */
const UP = [
  `CREATE INDEX lookback_answer_run ON lookback_answer (run_id)`,
  `CREATE TABLE recall (${fact}, reagent_code text NOT NULL, number text NOT NULL, gtin text, at text NOT NULL,
    person_id text NOT NULL, reason text NOT NULL, notice text, file_id text)`,
  `CREATE INDEX recall_at ON recall (laboratory_id, at)`,
  `CREATE TABLE recall_lot (${fact}, recall_id text NOT NULL, lot_id text NOT NULL, part text NOT NULL,
    CONSTRAINT "recall_lot_of" FOREIGN KEY ("recall_id") REFERENCES "recall" ("id"),
    CONSTRAINT "recall_lot_is" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"))`,
  `CREATE INDEX recall_lot_recall ON recall_lot (recall_id)`,
  `CREATE INDEX recall_lot_lot ON recall_lot (lot_id)`,
  `CREATE TABLE recall_told (${fact}, recall_id text NOT NULL, person_id text, name text NOT NULL, how text NOT NULL,
    at text NOT NULL, by_person_id text NOT NULL,
    CONSTRAINT "recall_told_of" FOREIGN KEY ("recall_id") REFERENCES "recall" ("id"))`,
  `CREATE INDEX recall_told_recall ON recall_told (recall_id)`,
  `CREATE TABLE tray_use (${fact}, run_id text NOT NULL, container_id text NOT NULL, reagent_code text NOT NULL,
    event_id text NOT NULL, person_id text NOT NULL, at text NOT NULL,
    CONSTRAINT "tray_use_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"),
    CONSTRAINT "tray_use_of" FOREIGN KEY ("container_id") REFERENCES "container" ("id"),
    CONSTRAINT "tray_use_by" FOREIGN KEY ("event_id") REFERENCES "run_event" ("id"))`,
  `CREATE INDEX tray_use_container ON tray_use (container_id, at, run_id)`,
  `CREATE INDEX tray_use_run ON tray_use (run_id)`,

  `ALTER TABLE notice ADD COLUMN path text`,
  `ALTER TABLE notice ADD COLUMN person_id text`,
  `ALTER TABLE notice ADD COLUMN seen_at text`,
  `ALTER TABLE notice ADD COLUMN over_at text`,
  `CREATE TABLE alert (${own}, matter text NOT NULL, kind text NOT NULL, since text NOT NULL, notice_id text NOT NULL)`,
  `CREATE UNIQUE INDEX alert_matter ON alert (laboratory_id, matter)`,
  `CREATE TABLE mail (${own}, at text NOT NULL, subject text NOT NULL, text text NOT NULL,
    attempts integer NOT NULL, sent_at text, error text)`,
  `CREATE INDEX mail_at ON mail (laboratory_id, at)`,
  `CREATE TABLE calendar_link (${own}, person_id text NOT NULL, token_hash text NOT NULL, made_at text NOT NULL,
    revoked_at text)`,
  `CREATE UNIQUE INDEX calendar_link_token ON calendar_link (token_hash)`,
];

export class Recall1764250000000 implements MigrationInterface {
  name = 'Recall1764250000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
