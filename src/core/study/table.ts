import { Refusal } from '../refusal.js';

/** Counts of cases by the new method's category (row) and the reference's (column), in the order of the scale. */
export type Table = readonly (readonly number[])[];

/** A checked square table with its sums; unused categories stay, since dropping one changes distances on the scale. */
export interface Counts {
  cells: { row: number; column: number; count: number }[];
  /** Categories of the scale. */
  q: number;
  n: number;
  rows: number[];
  columns: number[];
}

/**
 * Reads a table of agreement; refuses one that is not square, has fewer than two categories, counts that are not whole, or
 * no case at all. `countsOf([[3, 1], [0, 2]]).n` is 6.
 */
export function countsOf(table: Table): Counts {
  const q = table.length;
  if (q < 2 || table.some((row) => row.length !== q)) {
    throw new Refusal(
      'invalid',
      'bad-table',
      `a table of agreement has as many rows as columns, at least 2; this one has rows of ${table.map((row) => row.length).join(', ')}`,
    );
  }
  const cells = table.flatMap((line, row) => line.map((count, column) => ({ row, column, count })));
  const wrong = cells.find(({ count }) => !Number.isSafeInteger(count) || count < 0);
  if (wrong) throw new Refusal('invalid', 'bad-count', `a count is ${wrong.count}; give whole numbers of at least 0`);
  const n = cells.reduce((sum, { count }) => sum + count, 0);
  if (n === 0) throw new Refusal('invalid', 'too-few', 'the table counts no case; there is nothing to agree on');
  const sumBy = (axis: 'row' | 'column') =>
    table.map((_, i) => cells.reduce((sum, cell) => (cell[axis] === i ? sum + cell.count : sum), 0));
  return { cells, q, n, rows: sumBy('row'), columns: sumBy('column') };
}
