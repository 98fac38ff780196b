import type { View } from '../view.js';

type Value = string | number;

/** SQL text with its parameters, in the order in which they stand. */
export interface Sql {
  /** One more than there are values. */
  chunks: readonly string[];
  values: readonly Value[];
}

/** SQL in which `${…}` stands for a parameter, or for another piece of SQL whose parameters come along. */
export function sql(strings: TemplateStringsArray, ...parts: readonly (Value | Sql)[]): Sql {
  const chunks = [strings[0] ?? ''];
  const values: Value[] = [];
  const append = (text: string): void => void (chunks[chunks.length - 1] += text);
  parts.forEach((part, n) => {
    if (typeof part === 'object') {
      part.chunks.forEach((chunk, k) => (k === 0 ? append(chunk) : chunks.push(chunk)));
      values.push(...part.values);
    } else {
      values.push(part);
      chunks.push('');
    }
    append(strings[n + 1] ?? '');
  });
  return { chunks, values };
}

/** A piece of SQL as it is written here; never what somebody typed. */
export function plain(text: string): Sql {
  return { chunks: [text], values: [] };
}

/** A list in parentheses; one that nothing is in when it is empty. */
export function list(values: readonly Value[]): Sql {
  if (values.length === 0) return sql`(NULL)`;
  return { chunks: ['(', ...values.slice(1).map(() => ', '), ')'], values };
}

/** Pieces one after another, with what stands between them; `none` when there is no piece. */
export function joined(pieces: readonly Sql[], between: string, none: string): Sql {
  const [first, ...rest] = pieces;
  if (!first) return { chunks: [none], values: [] };
  return rest.reduce((all, piece) => sql`${all}${{ chunks: [between], values: [] }}${piece}`, first);
}

/** A condition that a name holds a text, whatever its case. */
export function holds(column: Sql, text: string): Sql {
  // The database lowers both sides: it knows fewer letters than JavaScript, and what one side alone lowers is never found.
  return sql`LOWER(${column}) LIKE LOWER(${holding(text)}) ESCAPE '\\'`;
}

/** The pattern of a text somewhere in another, escaped by a backslash. */
export function holding(text: string): string {
  return `%${text.replace(/[\\%_]/g, (sign) => `\\${sign}`)}%`;
}

/** The rows that it finds. */
export async function rowsOf<T>(view: View, { chunks, values }: Sql): Promise<T[]> {
  const text = chunks.map((chunk, n) => (n === 0 ? chunk : `$${n}${chunk}`)).join('');
  return (await (await view.ready()).query(text, [...values])) as T[];
}
