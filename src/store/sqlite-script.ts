import type sqlite3 from 'sqlite3';
import type { DataSource, QueryRunner } from 'typeorm';

/**
 * Runs several statements in one call of the driver. Each statement of its own costs two trips to the driver's thread and
 * back, during which the writing queue stands still; a batch of acts would need a dozen.
 */
export async function runScript(runner: QueryRunner, statements: readonly string[]): Promise<void> {
  const database = (await runner.connect()) as sqlite3.Database;
  await new Promise<void>((resolve, reject) => {
    database.exec(statements.join(';\n'), (error) => (error ? reject(error) : resolve()));
  });
}

/**
 * A value as an SQLite literal (sqlite.org/lang_expr.html, "Literal Values"): a script takes no parameters. Text knows one
 * special character, the quote, which is doubled; a backslash is itself. Refuses what no literal can hold.
 */
export function literal(value: unknown): string {
  if (value === null || value === undefined) return 'NULL';
  if (typeof value === 'boolean') return value ? '1' : '0';
  if (typeof value === 'number' && Number.isFinite(value)) return String(value);
  if (typeof value === 'string' && !value.includes('\u0000')) return `'${value.replaceAll("'", "''")}'`;
  throw new TypeError(`SQLite has no literal for ${typeof value === 'string' ? 'text with U+0000' : String(value)}`);
}

/**
 * The places of an IN list, whose values are added to `values` where the database takes them apart: SQLite's driver binds many
 * parameters far more slowly than the database reads as many literals.
 */
export function placesOf({ options }: DataSource, list: readonly string[], values: unknown[]): string {
  return list.map((each) => (options.type === 'sqlite' ? literal(each) : `$${values.push(each)}`)).join(', ');
}
