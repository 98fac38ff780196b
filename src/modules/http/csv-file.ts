import { Readable } from 'node:stream';
import { applyDecorators, StreamableFile } from '@nestjs/common';
import { ApiOkResponse, ApiProduces } from '@nestjs/swagger';
import { stringify } from 'csv-stringify/sync';

const CSV = 'text/csv';

/** A number stays one for whoever reads the file; anything else is text. */
type Cell = string | number | boolean | null | undefined;

/** What stands in each column, by its name. */
export type Columns<T> = Readonly<Record<string, (each: T) => Cell>>;

/** How many a list is asked for at a time: what is held at once, however long the list. */
export const A_PAGE = 200;

/** The answer is a CSV file to keep. */
export const CsvAnswer = (): MethodDecorator =>
  applyDecorators(ApiProduces(CSV), ApiOkResponse({ schema: { type: 'string', format: 'binary' } }));

/** All parts of a list, one after another, each asked for when the one before was taken. */
export async function* pagesOf<T>(
  ask: (after: string | undefined) => Promise<{ items: readonly T[]; next: string | null }>,
): AsyncGenerator<readonly T[]> {
  let after: string | undefined;
  do {
    const { items, next } = await ask(after);
    yield items;
    after = next ?? undefined;
  } while (after !== undefined);
}

/** A list that comes whole. */
export function wholeOf<T>(ask: () => Promise<readonly T[]>): AsyncGenerator<readonly T[]> {
  return pagesOf(async () => ({ items: await ask(), next: null }));
}

/** A list as CSV, a row for each of its things. */
export function listFile<T>(
  name: string,
  columns: Columns<T>,
  pages: AsyncIterable<readonly T[]>,
): Promise<StreamableFile> {
  const cells = Object.values(columns);
  async function* rows(): AsyncGenerator<Cell[][]> {
    for await (const page of pages) yield page.map((each) => cells.map((cell) => cell(each)));
  }
  return csvFile(name, Object.keys(columns), rows());
}

/**
 * Rows as CSV (RFC 4180): a row of names, then theirs, UTF-8 with its mark, since spreadsheets take it for something else
 * without. Text that a spreadsheet would take for a formula has an apostrophe before it, as OWASP advises. The first part is
 * awaited, so that a refusal is still answered as one.
 */
export async function csvFile(
  name: string,
  heading: readonly string[],
  pages: AsyncIterable<readonly (readonly Cell[])[]>,
): Promise<StreamableFile> {
  const parts = pages[Symbol.asyncIterator]();
  const first = await parts.next();
  async function* text(): AsyncGenerator<string> {
    yield `\uFEFF${textOf([heading])}`;
    for (let part = first; part.done !== true; part = await parts.next()) {
      if (part.value.length > 0) yield textOf(part.value);
    }
  }
  return new StreamableFile(Readable.from(text()), {
    type: `${CSV}; charset=utf-8`,
    disposition: `attachment; filename="${name.replaceAll(/[^A-Za-z0-9.-]/g, '-')}.csv"`,
  });
}

function textOf(rows: readonly (readonly Cell[])[]): string {
  return stringify([...rows], {
    escape_formulas: true,
    record_delimiter: 'windows',
    cast: { boolean: (value) => (value ? 'yes' : 'no') },
  });
}
