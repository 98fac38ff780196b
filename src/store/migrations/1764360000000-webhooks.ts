import type { MigrationInterface, QueryRunner } from 'typeorm';

const own = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL';

/** Other programs that are told of what happens here. */
const UP = [
  `CREATE TABLE webhook (${own}, name text NOT NULL, url text NOT NULL, topics text NOT NULL, active boolean NOT NULL,
    created_at text NOT NULL)`,
  `CREATE INDEX webhook_active ON webhook (laboratory_id, active)`,
  `CREATE TABLE webhook_secret (${own}, webhook_id text NOT NULL, secret text NOT NULL, created_at text NOT NULL, until text,
    CONSTRAINT "webhook_secret_of" FOREIGN KEY ("webhook_id") REFERENCES "webhook" ("id"))`,
  `CREATE INDEX webhook_secret_webhook ON webhook_secret (webhook_id)`,
  `CREATE TABLE webhook_delivery (${own}, webhook_id text NOT NULL, at text NOT NULL, topic text NOT NULL, body text NOT NULL,
    attempts integer NOT NULL, delivered_at text, error text,
    CONSTRAINT "webhook_delivery_to" FOREIGN KEY ("webhook_id") REFERENCES "webhook" ("id"))`,
  `CREATE INDEX webhook_delivery_webhook ON webhook_delivery (webhook_id)`,
];

export class Webhooks1764360000000 implements MigrationInterface {
  name = 'Webhooks1764360000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
