import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Readings of controls, series of numbers with their limits, and what was done about a failed control. */
const UP = [
  `CREATE TABLE control_series (${fact}, code text NOT NULL, level text NOT NULL, title text NOT NULL, unit text NOT NULL,
    protocol_id text, requirement text, metric text, rules text NOT NULL)`,
  `CREATE UNIQUE INDEX control_series_code ON control_series (laboratory_id, code, level)`,
  `CREATE TABLE control_rules (${fact}, series_id text NOT NULL, rules text NOT NULL, reason text NOT NULL, at text NOT NULL,
    person_id text NOT NULL, CONSTRAINT "control_rules_of" FOREIGN KEY ("series_id") REFERENCES "control_series" ("id"))`,
  `CREATE INDEX control_rules_series ON control_rules (series_id)`,

  `CREATE TABLE control_value (${fact}, series_id text NOT NULL, value double precision NOT NULL, given text, at text NOT NULL,
    batch text NOT NULL, run_id text, file_id text, lots text, reason text, person_id text,
    CONSTRAINT "control_value_of" FOREIGN KEY ("series_id") REFERENCES "control_series" ("id"),
    CONSTRAINT "control_value_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"),
    CONSTRAINT "control_value_from" FOREIGN KEY ("file_id") REFERENCES "file" ("id"))`,
  `CREATE INDEX control_value_series ON control_value (series_id, at, id)`,
  `CREATE INDEX control_value_run ON control_value (run_id)`,

  `CREATE TABLE control_limits (${fact}, series_id text NOT NULL, source text NOT NULL, since text NOT NULL,
    mean double precision NOT NULL, sd double precision NOT NULL, n integer NOT NULL, provisional boolean NOT NULL,
    points text NOT NULL, reason text NOT NULL, at text NOT NULL, signature text NOT NULL,
    CONSTRAINT "control_limits_of" FOREIGN KEY ("series_id") REFERENCES "control_series" ("id"))`,
  `CREATE INDEX control_limits_series ON control_limits (series_id)`,
  `CREATE TABLE control_mark (${fact}, series_id text NOT NULL, kind text NOT NULL, at text NOT NULL, text text NOT NULL,
    person_id text NOT NULL, CONSTRAINT "control_mark_of" FOREIGN KEY ("series_id") REFERENCES "control_series" ("id"))`,
  `CREATE INDEX control_mark_series ON control_mark (series_id)`,

  `CREATE TABLE control_result (${fact}, event_id text, run_id text, protocol_id text NOT NULL, revision_id text,
    requirement text NOT NULL, subject_id text, reading text NOT NULL, at text NOT NULL, stained_at text NOT NULL,
    day text NOT NULL, passed boolean NOT NULL, observed text NOT NULL, person_id text, lots text NOT NULL, criteria text,
    pictures text, value_id text,
    CONSTRAINT "control_result_by" FOREIGN KEY ("event_id") REFERENCES "run_event" ("id"),
    CONSTRAINT "control_result_in" FOREIGN KEY ("run_id") REFERENCES "run" ("id"),
    CONSTRAINT "control_result_value" FOREIGN KEY ("value_id") REFERENCES "control_value" ("id"))`,
  `CREATE INDEX control_result_protocol ON control_result (protocol_id, requirement, stained_at)`,
  `CREATE INDEX control_result_day ON control_result (laboratory_id, day)`,
  `CREATE INDEX control_result_run ON control_result (run_id)`,
  `CREATE INDEX control_result_event ON control_result (event_id)`,
  `CREATE TABLE control_result_change (${fact}, result_id text NOT NULL, withdrawn boolean NOT NULL, at text, day text,
    reason text NOT NULL, person_id text,
    CONSTRAINT "control_result_change_of" FOREIGN KEY ("result_id") REFERENCES "control_result" ("id"))`,
  `CREATE INDEX control_result_change_result ON control_result_change (result_id)`,

  `CREATE TABLE failure_act (${fact}, result_id text NOT NULL, kind text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    text text NOT NULL, repeat_id text, ended text, cases text, signature text,
    CONSTRAINT "failure_act_of" FOREIGN KEY ("result_id") REFERENCES "control_result" ("id"),
    CONSTRAINT "failure_act_repeat" FOREIGN KEY ("repeat_id") REFERENCES "control_result" ("id"))`,
  `CREATE INDEX failure_act_result ON failure_act (result_id)`,
];

export class ControlResults1764270000000 implements MigrationInterface {
  name = 'ControlResults1764270000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
