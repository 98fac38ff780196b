import type { MigrationInterface, QueryRunner } from 'typeorm';

const fact = 'id text PRIMARY KEY NOT NULL, laboratory_id text NOT NULL, seq integer NOT NULL';
const said = 'at text NOT NULL, person_id text NOT NULL';

/** Suppliers, what they sell, how stock is kept, and orders with what came on them. */
const UP = [
  `CREATE TABLE supplier (${fact}, code text NOT NULL, name text NOT NULL, address text, email text, customer_number text,
    approved boolean NOT NULL, ${said})`,
  `CREATE INDEX supplier_code ON supplier (laboratory_id, code)`,

  `CREATE TABLE product (${fact}, code text NOT NULL, supplier_code text NOT NULL, item_number text NOT NULL, name text NOT NULL,
    gtin text, reagent_code text NOT NULL, pack_containers integer NOT NULL, container_micro double precision NOT NULL,
    price_cents integer NOT NULL, minimum_packs integer NOT NULL, lead_days double precision NOT NULL,
    lead_sd_days double precision NOT NULL, shelf_life_days integer, offered boolean NOT NULL, ${said})`,
  `CREATE INDEX product_code ON product (laboratory_id, code)`,

  `CREATE TABLE stock_policy (${fact}, reagent_code text NOT NULL, service_level double precision NOT NULL,
    cover_days double precision NOT NULL, review_days double precision NOT NULL, acceptance_days double precision NOT NULL,
    method text NOT NULL, alpha double precision NOT NULL, beta double precision NOT NULL, product_code text, ${said})`,
  `CREATE INDEX stock_policy_reagent ON stock_policy (laboratory_id, reagent_code)`,

  `CREATE TABLE buying (${fact}, currency text NOT NULL, signed_above_cents integer NOT NULL, deliver_to text, ${said})`,

  `CREATE TABLE purchase_order (${fact}, number text NOT NULL, supplier_code text NOT NULL, ${said})`,
  `CREATE UNIQUE INDEX purchase_order_number ON purchase_order (laboratory_id, number)`,
  `CREATE TABLE order_act (${fact}, order_id text NOT NULL, kind text NOT NULL, at text NOT NULL, day text NOT NULL,
    person_id text NOT NULL, data text NOT NULL,
    CONSTRAINT "order_act_of" FOREIGN KEY ("order_id") REFERENCES "purchase_order" ("id"))`,
  `CREATE INDEX order_act_order ON order_act (order_id)`,
  `CREATE TABLE order_receipt (${fact}, order_id text NOT NULL, line integer NOT NULL, kind text NOT NULL, at text NOT NULL,
    day text NOT NULL, person_id text NOT NULL, product_code text NOT NULL, containers integer NOT NULL,
    lot_number text NOT NULL, expiry text, lot_id text, reason text,
    CONSTRAINT "order_receipt_of" FOREIGN KEY ("order_id") REFERENCES "purchase_order" ("id"),
    CONSTRAINT "order_receipt_lot" FOREIGN KEY ("lot_id") REFERENCES "lot" ("id"))`,
  `CREATE INDEX order_receipt_order ON order_receipt (order_id)`,
  `CREATE INDEX order_receipt_product ON order_receipt (laboratory_id, product_code)`,
];

export class Orders1764240000000 implements MigrationInterface {
  name = 'Orders1764240000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
