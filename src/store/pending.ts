import type { EntityMetadata, QueryRunner } from 'typeorm';
import { partsOf } from '../core/parts.js';
import { ROWS } from './rows.js';
import { literal, runScript } from './sqlite-script.js';

/** Fewer than any database takes as values of one statement, for the widest row. */
const ROWS_A_STATEMENT = 500;

type Content = Record<string, unknown>;

/**
 * Rows that were inserted and not yet written. They are written together, one statement a table, when somebody reads or
 * the batch ends; tables that others refer to come first.
 */
export class Pending {
  private readonly rows = new Map<EntityMetadata, Content[]>();

  add(table: EntityMetadata, content: Content): void {
    const before = this.rows.get(table);
    if (before) before.push(content);
    else this.rows.set(table, [content]);
  }

  /** Drops what was not written, for a unit that failed. */
  drop(): void {
    this.rows.clear();
  }

  async flush(runner: QueryRunner): Promise<void> {
    if (this.rows.size === 0) return;
    if (runner.connection.options.type === 'sqlite') {
      await runScript(runner, this.takeScript());
      return;
    }
    for (const [table, contents] of this.take()) {
      const values: unknown[] = [];
      const rows = contents.map(
        (content) =>
          `(${stored(table, content)
            .map((value) => `$${values.push(value)}`)
            .join(', ')})`,
      );
      await runner.query(insertOf(table, rows), values);
    }
  }

  /** The statements that write what is pending, which then is no longer; for SQLite. */
  takeScript(): string[] {
    return this.take().map(([table, contents]) =>
      insertOf(
        table,
        contents.map((content) => `(${stored(table, content).map(literal).join(', ')})`),
      ),
    );
  }

  private take(): [EntityMetadata, Content[]][] {
    const tables = [...this.rows].sort(([a], [b]) => placeOf(a) - placeOf(b));
    this.rows.clear();
    return tables.flatMap(([table, contents]) =>
      partsOf(contents, ROWS_A_STATEMENT).map((part): [EntityMetadata, Content[]] => [table, part]),
    );
  }
}

function placeOf({ target }: EntityMetadata): number {
  return (ROWS as readonly unknown[]).indexOf(target);
}

/** A row's columns as the database keeps them. */
function stored({ columns, connection }: EntityMetadata, content: Content): unknown[] {
  return columns.map((column): unknown =>
    connection.driver.preparePersistentValue(content[column.propertyName] ?? null, column),
  );
}

/** By hand: TypeORM's builder takes several times as long over the same statement. */
function insertOf({ columns, tableName }: EntityMetadata, rows: readonly string[]): string {
  const names = columns.map(({ databaseName }) => `"${databaseName}"`).join(', ');
  return `INSERT INTO "${tableName}" (${names}) VALUES ${rows.join(', ')}`;
}
