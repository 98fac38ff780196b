import type { MigrationInterface, QueryRunner } from 'typeorm';

/**
 * On PostgreSQL the palette reads an index of letter triples (its own extension pg_trgm, which whoever owns the database
 * may add) rather than every text. Where it cannot be added, the palette does without, slower. SQLite is fast enough.
 */
const UP = `DO $$ BEGIN
  CREATE EXTENSION IF NOT EXISTS pg_trgm;
  CREATE INDEX subject_letters ON subject USING gin (LOWER(label || ' ' || description) gin_trgm_ops);
  CREATE INDEX lot_letters ON lot USING gin (LOWER(number) gin_trgm_ops);
  CREATE INDEX container_letters ON container USING gin (LOWER(label) gin_trgm_ops);
EXCEPTION WHEN insufficient_privilege OR undefined_file OR feature_not_supported THEN
  RAISE NOTICE 'Finding stays slower: %', SQLERRM;
END $$`;

export class FindingByLetters1764610000000 implements MigrationInterface {
  name = 'FindingByLetters1764610000000';

  async up(runner: QueryRunner): Promise<void> {
    if (runner.connection.options.type === 'postgres') await runner.query(UP);
  }

  /** Migrations only go forward; a backup is the way back. */
  async down(): Promise<void> {
    throw new Error('Migrations only go forward: restore the backup that was made before the upgrade.');
  }
}
