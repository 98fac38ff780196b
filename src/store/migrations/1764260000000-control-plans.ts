import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Control plans, when the laboratory is open, and control tasks written down ahead. */
const UP = [
  `CREATE TABLE control_plan (${fact}, protocol_id text NOT NULL, number integer NOT NULL, content text NOT NULL,
    content_hash text NOT NULL, at text NOT NULL, person_id text NOT NULL, note text NOT NULL)`,
  `CREATE UNIQUE INDEX control_plan_number ON control_plan (laboratory_id, protocol_id, number)`,
  `CREATE TABLE control_plan_act (${fact}, plan_id text NOT NULL, kind text NOT NULL, at text NOT NULL, person_id text NOT NULL,
    effective_from text NOT NULL, reason text NOT NULL, signature text NOT NULL,
    CONSTRAINT "control_plan_act_of" FOREIGN KEY ("plan_id") REFERENCES "control_plan" ("id"))`,
  `CREATE INDEX control_plan_act_plan ON control_plan_act (plan_id)`,

  `CREATE TABLE laboratory_calendar (${fact}, content text NOT NULL, at text NOT NULL, person_id text NOT NULL)`,

  `CREATE TABLE control_task (id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, key text NOT NULL,
    protocol_id text NOT NULL, requirement text NOT NULL, clock text NOT NULL, clause text NOT NULL, about text,
    period text NOT NULL, station text, due_from text NOT NULL, due_until text, written_at text NOT NULL)`,
  `CREATE UNIQUE INDEX control_task_key ON control_task (laboratory_id, key)`,
  `CREATE INDEX control_task_due ON control_task (laboratory_id, due_from)`,
];

export class ControlPlans1764260000000 implements MigrationInterface {
  name = 'ControlPlans1764260000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
