import type { EntityManager, EntityMetadata } from 'typeorm';
import { ROWS } from './rows.js';

/** Fewer than any database takes as values of one statement, for the widest row. */
const ROWS_A_STATEMENT = 500;

/**
 * Rows that were inserted and not yet written. They are written together, one statement a table, when somebody reads or
 * the batch ends; tables that others refer to come first.
 */
export class Pending {
  private readonly rows = new Map<EntityMetadata, Record<string, unknown>[]>();

  add(table: EntityMetadata, content: Record<string, unknown>): void {
    const before = this.rows.get(table);
    if (before) before.push(content);
    else this.rows.set(table, [content]);
  }

  /** Drops what was not written, for a unit that failed. */
  drop(): void {
    this.rows.clear();
  }

  async flush(manager: EntityManager): Promise<void> {
    if (this.rows.size === 0) return;
    const tables = [...this.rows].sort(([a], [b]) => placeOf(a) - placeOf(b));
    this.rows.clear();
    for (const [table, contents] of tables) {
      for (let from = 0; from < contents.length; from += ROWS_A_STATEMENT) {
        await insertRows(manager, table, contents.slice(from, from + ROWS_A_STATEMENT));
      }
    }
  }
}

function placeOf({ target }: EntityMetadata): number {
  return (ROWS as readonly unknown[]).indexOf(target);
}

/** One statement by hand: TypeORM's builder takes several times as long over it. */
async function insertRows(
  manager: EntityManager,
  table: EntityMetadata,
  contents: Record<string, unknown>[],
): Promise<void> {
  const { columns, tableName, connection } = table;
  const values: unknown[] = [];
  const places = contents.map((content) => {
    const own = columns.map((column) => {
      values.push(connection.driver.preparePersistentValue(content[column.propertyName] ?? null, column));
      return `$${values.length}`;
    });
    return `(${own.join(', ')})`;
  });
  const names = columns.map(({ databaseName }) => `"${databaseName}"`).join(', ');
  await manager.query(`INSERT INTO "${tableName}" (${names}) VALUES ${places.join(', ')}`, values);
}
