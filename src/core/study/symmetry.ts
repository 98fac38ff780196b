import { binomialProbability, signP } from '../statistics/binomial.js';
import { chiSquareUpper } from '../statistics/chi-square.js';
import { countsOf, type Table } from './table.js';

/** Whether two methods call one category equally often, from the cases on which they differ. */
export interface McNemar {
  exactP: number;
  /** Null when the methods differ on no case. */
  midP: number | null;
  chiSquare: number | null;
  /** With Edwards' continuity correction. */
  chiSquareCorrected: number | null;
}

/**
 * McNemar's test on the cases that only the new and only the reference method called positive: exact two-sided p, mid-p
 * and both chi-squares of one degree of freedom (McNemar, Psychometrika 1947;12:153-157; Fagerland, Lydersen and Laake,
 * BMC Med Res Methodol 2013;13:91). `mcnemar(0, 1)` is `{exactP: 1, midP: 0.5, chiSquare: 1, chiSquareCorrected: 0}`.
 */
export function mcnemar(newOnly: number, referenceOnly: number): McNemar {
  const differing = newOnly + referenceOnly;
  if (differing === 0) return { exactP: 1, midP: null, chiSquare: null, chiSquareCorrected: null };
  const exactP = signP(newOnly, differing);
  const tie = binomialProbability(Math.min(newOnly, referenceOnly), differing, 0.5);
  const gap = Math.abs(newOnly - referenceOnly);
  return {
    exactP,
    midP: gap === 0 ? 1 - tie : exactP - tie,
    chiSquare: gap ** 2 / differing,
    chiSquareCorrected: Math.max(gap - 1, 0) ** 2 / differing,
  };
}

export interface Bowker {
  chiSquare: number;
  /** Pairs of categories. */
  df: number;
  p: number;
  /** Pairs of categories that the methods ever confused, the other usage for the degrees of freedom. */
  dfUsed: number;
  pUsed: number;
}

/**
 * Bowker's test that a table of agreement is symmetric, sum (n_ij - n_ji)^2 / (n_ij + n_ji) (Bowker, J Am Stat Assoc
 * 1948;43:572-574); p is 1 where no pair was confused. `bowker([[5, 3], [1, 5]]).chiSquare` is 1.
 */
export function bowker(table: Table): Bowker {
  const { cells, q } = countsOf(table);
  const pairs = cells.flatMap(({ row, column, count }) =>
    row < column ? [{ one: count, other: table[column]?.[row] ?? 0 }] : [],
  );
  const used = pairs.filter(({ one, other }) => one + other > 0);
  const chiSquare = used.reduce((sum, { one, other }) => sum + (one - other) ** 2 / (one + other), 0);
  const df = (q * (q - 1)) / 2;
  const p = (degrees: number) => (degrees === 0 ? 1 : chiSquareUpper(chiSquare, degrees));
  return { chiSquare, df, p: p(df), dfUsed: used.length, pUsed: p(used.length) };
}
