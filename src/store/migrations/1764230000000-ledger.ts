import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';

/** Balances that shorten the ledger's sums, and counts of what is really there. */
const UP = [
  `DROP INDEX movement_container`,
  `CREATE INDEX movement_container ON movement (container_id, seq)`,
  `CREATE INDEX movement_short ON movement (laboratory_id, short_micro)`,

  `CREATE TABLE balance (${fact}, container_id text NOT NULL, up_to integer NOT NULL, micro double precision NOT NULL,
    CONSTRAINT "balance_of" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX balance_container ON balance (container_id)`,
  `CREATE TABLE stock_count (${fact}, container_id text NOT NULL, reagent_code text NOT NULL, at text NOT NULL,
    day text NOT NULL, person_id text NOT NULL, expected double precision NOT NULL, counted double precision NOT NULL,
    variance double precision NOT NULL, reason text,
    CONSTRAINT "stock_count_of" FOREIGN KEY ("container_id") REFERENCES "container" ("id"))`,
  `CREATE INDEX stock_count_container ON stock_count (container_id)`,
  `CREATE INDEX stock_count_day ON stock_count (laboratory_id, day)`,
];

export class Ledger1764230000000 implements MigrationInterface {
  name = 'Ledger1764230000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
