import type { MigrationInterface, QueryRunner } from 'typeorm';

/**
 * What the palette looks through, without the rest of the rows and in the order in which it answers; and lots by the number
 * on their boxes.
 */
const UP = [
  `CREATE INDEX subject_texts ON subject (laboratory_id, id, label, description)`,
  `CREATE INDEX lot_texts ON lot (laboratory_id, id, number)`,
  `CREATE INDEX container_texts ON container (laboratory_id, id, label)`,
  `CREATE INDEX lot_gtin ON lot (laboratory_id, gtin)`,
];

export class Finding1764550000000 implements MigrationInterface {
  name = 'Finding1764550000000';

  async up(runner: QueryRunner): Promise<void> {
    for (const statement of UP) await runner.query(statement);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
