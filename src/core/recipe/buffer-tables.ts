import { Refusal } from '../refusal.js';
import { checkQuantity, convert, tidy, type Quantity } from './quantity.js';

/** A published table of what to pour of two stock solutions for a buffer of each pH. */
export interface BufferTable {
  /** The stock solutions in the order of the columns. */
  stocks: [string, string];
  /** mL to which the amounts of a row are made up with water; the sum of the row where nothing is added. */
  makesMl: number;
  /** pH, mL of the first and mL of the second stock, rising by pH. */
  rows: [number, number, number][];
}

/** Tables to within 0.05 pH at 23 Cel; the pH is still read and adjusted. */
export const BUFFER_TABLES = {
  /** Gomori G, Methods Enzymol 1955;1:138-146. */
  gomoriPhosphate: {
    stocks: ['NaH2PO4 0.2 mol/L', 'Na2HPO4 0.2 mol/L'],
    makesMl: 200,
    rows: [
      [5.8, 92.0, 8.0],
      [6.0, 87.7, 12.3],
      [6.2, 81.5, 18.5],
      [6.4, 73.5, 26.5],
      [6.6, 62.5, 37.5],
      [6.8, 51.0, 49.0],
      [7.0, 39.0, 61.0],
      [7.2, 28.0, 72.0],
      [7.4, 19.0, 81.0],
      [7.6, 13.0, 87.0],
      [7.8, 8.5, 91.5],
      [8.0, 5.3, 94.7],
    ],
  },
  /** Dacie and Lewis, Practical Haematology, appendix; from memory. */
  sorensenPhosphate: {
    stocks: ['KH2PO4 66 mmol/L', 'Na2HPO4 66 mmol/L'],
    makesMl: 100,
    rows: [
      [5.8, 92.2, 7.8],
      [6.0, 88.0, 12.0],
      [6.2, 81.0, 19.0],
      [6.4, 73.0, 27.0],
      [6.6, 63.0, 37.0],
      [6.8, 50.8, 49.2],
      [7.0, 38.9, 61.1],
      [7.2, 28.0, 72.0],
      [7.4, 19.2, 80.8],
      [7.6, 13.0, 87.0],
      [7.8, 8.5, 91.5],
      [8.0, 5.5, 94.5],
    ],
  },
  /** Gomori 1955, after Lillie 1948. Its row of pH 6.0 circulates with a sum of 51 mL where all others have 50, and is left out. */
  gomoriCitrate: {
    stocks: ['citric acid 0.1 mol/L', 'trisodium citrate 0.1 mol/L'],
    makesMl: 100,
    rows: [
      [3.0, 46.5, 3.5],
      [3.2, 43.7, 6.3],
      [3.4, 40.0, 10.0],
      [3.6, 37.0, 13.0],
      [3.8, 35.0, 15.0],
      [4.0, 33.0, 17.0],
      [4.2, 31.5, 18.5],
      [4.4, 28.0, 22.0],
      [4.6, 25.5, 24.5],
      [4.8, 23.0, 27.0],
      [5.0, 20.5, 29.5],
      [5.2, 18.0, 32.0],
      [5.4, 16.0, 34.0],
      [5.6, 13.7, 36.3],
      [5.8, 11.8, 38.2],
      [6.2, 7.2, 42.8],
    ],
  },
  /** Gomori 1955; some rows from memory. */
  gomoriTris: {
    stocks: ['HCl 0.2 mol/L', 'Tris 0.2 mol/L'],
    makesMl: 200,
    rows: [
      [7.2, 44.2, 50],
      [7.4, 41.4, 50],
      [7.6, 38.4, 50],
      [7.8, 32.5, 50],
      [8.0, 26.8, 50],
      [8.2, 21.9, 50],
      [8.4, 16.5, 50],
      [8.6, 12.2, 50],
      [8.8, 8.1, 50],
      [9.0, 5.0, 50],
    ],
  },
} satisfies Record<string, BufferTable>;

/** mL of each stock and of water for a volume of buffer. */
export interface Pouring {
  firstMl: number;
  secondMl: number;
  waterMl: number;
}

/**
 * What to pour of a table's two stocks for a volume of buffer of a pH, between two rows in proportion. Refuses a pH
 * beyond the table. `pourFromTable(BUFFER_TABLES.gomoriPhosphate, 6.8, {value: 200, unit: 'mL'})` is `{firstMl: 51,
 * secondMl: 49, waterMl: 100}`.
 */
export function pourFromTable({ rows, makesMl }: BufferTable, pH: number, volume: Quantity): Pouring {
  checkQuantity('the volume', volume, 'volume');
  const above = rows.find(([at]) => at >= pH);
  const below = rows.findLast(([at]) => at <= pH);
  if (!above || !below) {
    throw new Refusal(
      'invalid',
      'bad-buffer',
      `the table has no pH ${pH}; give one from ${rows[0]?.[0]} to ${rows.at(-1)?.[0]}, or take another buffer`,
    );
  }
  const way = above === below ? 0 : (pH - below[0]) / (above[0] - below[0]);
  const times = convert(volume, 'mL') / makesMl;
  const [firstMl, secondMl] = [1, 2].map((column) => {
    const [from, to] = [below[column] ?? 0, above[column] ?? 0];
    return tidy((from + way * (to - from)) * times);
  }) as [number, number];
  return { firstMl, secondMl, waterMl: tidy(Math.max(makesMl * times - firstMl - secondMl, 0)) };
}
