import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Every table; the same statements on SQLite and PostgreSQL. */
const UP = [
  `CREATE TABLE laboratory (id text PRIMARY KEY NOT NULL, name text NOT NULL, zone text NOT NULL, demo boolean NOT NULL,
    drift_ppm integer NOT NULL, created_at text NOT NULL)`,

  `CREATE TABLE record_head (laboratory_id text PRIMARY KEY NOT NULL, seq integer NOT NULL, hash text NOT NULL)`,
  `CREATE TABLE record_entry (laboratory_id text NOT NULL, seq integer NOT NULL, at text NOT NULL, act text NOT NULL,
    subject_kind text NOT NULL, subject_id text NOT NULL, person_id text, body text NOT NULL, hash text NOT NULL,
    PRIMARY KEY (laboratory_id, seq))`,
  `CREATE INDEX record_entry_subject ON record_entry (laboratory_id, subject_kind, subject_id)`,
  `CREATE TABLE answered_request (laboratory_id text NOT NULL, key text NOT NULL, at text NOT NULL, request text NOT NULL,
    answer text NOT NULL, PRIMARY KEY (key, laboratory_id))`,
  `CREATE TABLE sealed_value (${fact}, owner_id text NOT NULL, kind text NOT NULL, salt text NOT NULL, value text)`,
  `CREATE INDEX sealed_value_owner ON sealed_value (laboratory_id, owner_id)`,

  `CREATE TABLE person (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, login text NOT NULL, name text NOT NULL,
    roles text NOT NULL, password_hash text NOT NULL, disabled boolean NOT NULL, failures integer NOT NULL,
    locked_until text, created_at text NOT NULL)`,
  `CREATE UNIQUE INDEX person_login ON person (laboratory_id, login)`,
  `CREATE TABLE session (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, person_id text NOT NULL, device_id text,
    csrf text NOT NULL, created_at text NOT NULL, expires_at text NOT NULL)`,
  `CREATE INDEX session_person ON session (person_id)`,
  `CREATE TABLE device (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, name text NOT NULL, roles text NOT NULL,
    token_hash text NOT NULL, created_at text NOT NULL, revoked_at text)`,
  `CREATE UNIQUE INDEX device_token ON device (token_hash)`,
  `CREATE TABLE setup_link (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, expires_at text NOT NULL, used_at text)`,

  `CREATE TABLE revision (${fact}, protocol_id text NOT NULL, number integer NOT NULL, title text NOT NULL,
    content text NOT NULL, content_hash text NOT NULL, based_on text)`,
  `CREATE UNIQUE INDEX revision_number ON revision (laboratory_id, protocol_id, number)`,
  `CREATE TABLE revision_act (${fact}, revision_id text NOT NULL, kind text NOT NULL, at text NOT NULL, person_id text,
    data text NOT NULL, CONSTRAINT "revision_act_of" FOREIGN KEY ("revision_id") REFERENCES "revision" ("id"))`,
  `CREATE INDEX revision_act_revision ON revision_act (revision_id)`,

  `CREATE TABLE reagent (${fact}, code text NOT NULL, content text NOT NULL)`,
  `CREATE INDEX reagent_code ON reagent (laboratory_id, code)`,
  `CREATE TABLE lot (${fact}, reagent_code text NOT NULL, number text NOT NULL, gtin text, origin text NOT NULL,
    source text NOT NULL, received_at text NOT NULL, expiry text, opened_life text, limits text NOT NULL, strength text, storage text)`,
  `CREATE INDEX lot_number ON lot (laboratory_id, number)`,
  `CREATE INDEX lot_reagent ON lot (laboratory_id, reagent_code)`,
  `CREATE TABLE lot_act (${fact}, lot_id text NOT NULL, at text NOT NULL, person_id text, standing text NOT NULL,
    reason text NOT NULL, CONSTRAINT "lot_act_of" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"))`,
  `CREATE INDEX lot_act_lot ON lot_act (lot_id)`,
  `CREATE TABLE container (${fact}, lot_id text NOT NULL, label text NOT NULL, serial text, size text,
    CONSTRAINT "container_of" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"))`,
  `CREATE UNIQUE INDEX container_label ON container (laboratory_id, label)`,
  `CREATE INDEX container_lot ON container (lot_id)`,
  `CREATE TABLE container_act (${fact}, container_id text NOT NULL, at text NOT NULL, person_id text, state text NOT NULL,
    until text, reason text, CONSTRAINT "container_act_of" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX container_act_container ON container_act (container_id)`,

  `CREATE TABLE subject (${fact}, kind text NOT NULL, label text NOT NULL, parent_id text, description text NOT NULL,
    taken_at text, irreplaceable boolean NOT NULL)`,
  `CREATE UNIQUE INDEX subject_label ON subject (laboratory_id, label)`,
  `CREATE INDEX subject_parent ON subject (parent_id)`,

  `CREATE TABLE run (${fact}, revision_id text NOT NULL, station text NOT NULL, purpose text NOT NULL, started_at text NOT NULL,
    person_id text NOT NULL, CONSTRAINT "run_of" FOREIGN KEY ("revision_id") REFERENCES "revision" ("id"))`,
  `CREATE INDEX run_started ON run (laboratory_id, started_at)`,
  `CREATE TABLE run_subject (${fact}, run_id text NOT NULL, subject_id text NOT NULL, role text NOT NULL, control text,
    CONSTRAINT "run_subject_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"),
    CONSTRAINT "run_subject_is" FOREIGN KEY ("subject_id") REFERENCES "subject" ("id"))`,
  `CREATE INDEX run_subject_run ON run_subject (run_id)`,
  `CREATE INDEX run_subject_subject ON run_subject (subject_id)`,
  `CREATE TABLE run_event (${fact}, run_id text NOT NULL, kind text NOT NULL, data text NOT NULL, stamp text NOT NULL,
    person_id text NOT NULL, received_at text NOT NULL, CONSTRAINT "run_event_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"))`,
  `CREATE INDEX run_event_run ON run_event (run_id)`,
  `CREATE TABLE bench_run (run_id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, station text NOT NULL)`,
  `CREATE TABLE release (${fact}, run_id text NOT NULL, subject_id text NOT NULL, point text NOT NULL, kind text NOT NULL,
    words_id text, verdict text NOT NULL, findings text NOT NULL, judged_to integer NOT NULL, rules text NOT NULL,
    signature text NOT NULL, CONSTRAINT "release_of" FOREIGN KEY ("run_id") REFERENCES "run" ("id"))`,
  `CREATE INDEX release_run ON release (run_id)`,
  `CREATE INDEX release_subject ON release (subject_id)`,

  `CREATE TABLE job (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, name text NOT NULL, target text NOT NULL,
    due_at text NOT NULL, state text NOT NULL, attempts integer NOT NULL, error text)`,
  `CREATE INDEX job_due ON job (state, due_at)`,
  `CREATE TABLE notice (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, matter text NOT NULL, at text NOT NULL,
    text text NOT NULL, run_id text, seen_by text)`,
  `CREATE UNIQUE INDEX notice_matter ON notice (laboratory_id, matter)`,
];

export class First1764000000000 implements MigrationInterface {
  name = 'First1764000000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
