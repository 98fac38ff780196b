import { zOf, type Interval } from './proportion.js';
import { countsOf, type Counts, type Table } from './table.js';

/** How far apart two categories may lie and still count in part: not at all, by their distance, by its square. */
export type Weighting = 'none' | 'linear' | 'quadratic';

/** A coefficient of agreement beyond chance with its standard error; nulls where it is undefined. */
export interface Coefficient {
  estimate: number | null;
  se: number | null;
  /** Standard error if there were no agreement beyond chance, for the test of that. */
  se0: number | null;
  /** Not clipped to -1 and 1. */
  ci: Interval | null;
}

const UNDEFINED: Coefficient = { estimate: null, se: null, se0: null, ci: null };

/** The share of cases on which both agree (0 to 1). `rawAgreement([[3, 1], [0, 4]])` is 0.875. */
export function rawAgreement(table: Table): number {
  return agreed(countsOf(table), weigh('none', table.length));
}

/**
 * Cohen's kappa, weighted where asked, with its large-sample standard errors (Cohen, Educ Psychol Meas 1960;20:37-46 and
 * Psychol Bull 1968;70:213-220; Fleiss, Cohen and Everitt, Psychol Bull 1969;72:323-327), at 95 % unless said otherwise;
 * undefined when chance alone would agree on all. `kappa([[75, 1, 4], [5, 4, 1], [0, 0, 10]], 'none').estimate` is
 * 0.6764705882352942 (Fleiss 1981: 0.68).
 */
export function kappa(table: Table, weighting: Weighting, confidence = 0.95): Coefficient {
  const counts = countsOf(table);
  const { cells, q, n, rows, columns } = counts;
  const weight = weigh(weighting, q);
  const expected =
    cells.reduce((sum, { row, column }) => sum + weight(row, column) * at(rows, row) * at(columns, column), 0) / n ** 2;
  if (expected === 1) return UNDEFINED;
  const estimate = (agreed(counts, weight) - expected) / (1 - expected);
  const rowMeans = rows.map((_, i) => columns.reduce((sum, count, j) => sum + count * weight(i, j), 0) / n);
  const columnMeans = columns.map((_, j) => rows.reduce((sum, count, i) => sum + count * weight(i, j), 0) / n);
  // What one case in a cell adds to the coefficient, but for a constant: the delta method's derivative.
  const influence = (beyondChance: number) => (row: number, column: number) =>
    weight(row, column) - (at(rowMeans, row) + at(columnMeans, column)) * (1 - beyondChance);
  const share = ({ count }: { count: number }) => count / n;
  const byChance = ({ row, column }: { row: number; column: number }) => (at(rows, row) * at(columns, column)) / n ** 2;
  const scale = n * (1 - expected) ** 2;
  return coefficient(
    estimate,
    spread(counts, share, influence(estimate)) / scale,
    spread(counts, byChance, influence(0)) / scale,
    confidence,
  );
}

/**
 * Prevalence- and bias-adjusted kappa of two categories, 2 po - 1 (Byrt, Bishop and Carlin, J Clin Epidemiol
 * 1993;46:423-429), to stand beside kappa, which falls when nearly all cases are of one category.
 * `pabak([[80, 10], [5, 5]])` is 0.7.
 */
export function pabak(table: Table): number {
  return 2 * rawAgreement(table) - 1;
}

/**
 * Gwet's AC1, agreement beyond chance that does not fall with prevalence, and its standard error (Gwet, Br J Math Stat
 * Psychol 2008;61:29-48). `ac1([[80, 10], [5, 5]]).estimate` is 0.8080495356037152.
 */
export function ac1(table: Table, confidence = 0.95): Omit<Coefficient, 'se0'> {
  const counts = countsOf(table);
  const { q, n, rows, columns } = counts;
  const pi = rows.map((row, k) => (row + at(columns, k)) / (2 * n));
  const expected = pi.reduce((sum, p) => sum + p * (1 - p), 0) / (q - 1);
  const observed = agreed(counts, weigh('none', q));
  const estimate = (observed - expected) / (1 - expected);
  const influence = (row: number, column: number) =>
    (row === column ? 1 : 0) + ((1 - estimate) * (at(pi, row) + at(pi, column))) / (q - 1);
  const variance = spread(counts, ({ count }) => count / n, influence) / (n * (1 - expected) ** 2);
  const { se, ci } = coefficient(estimate, variance, 0, confidence);
  return { estimate, se, ci };
}

/** How one category prevails and how the two differ in calling it, both from -1 to 1 (Byrt, Bishop and Carlin 1993). */
export function prevalenceAndBias(table: Table): { prevalence: number; bias: number } {
  const { n, rows, columns } = countsOf(table);
  const [newPositive, referencePositive] = [at(rows, 0), at(columns, 0)];
  return { prevalence: (newPositive + referencePositive) / n - 1, bias: (newPositive - referencePositive) / n };
}

type Weight = (row: number, column: number) => number;

function weigh(weighting: Weighting, q: number): Weight {
  if (weighting === 'none') return (row, column) => (row === column ? 1 : 0);
  const power = weighting === 'linear' ? 1 : 2;
  return (row, column) => 1 - (Math.abs(row - column) / (q - 1)) ** power;
}

function agreed({ cells, n }: Counts, weight: Weight): number {
  return cells.reduce((sum, { row, column, count }) => sum + weight(row, column) * count, 0) / n;
}

/** Variance of an influence over cells of the given shares, taken around its mean so that none comes out below 0. */
function spread(
  { cells }: Counts,
  share: (cell: Counts['cells'][number]) => number,
  influence: (row: number, column: number) => number,
): number {
  const mean = cells.reduce((sum, cell) => sum + share(cell) * influence(cell.row, cell.column), 0);
  return cells.reduce((sum, cell) => sum + share(cell) * (influence(cell.row, cell.column) - mean) ** 2, 0);
}

function coefficient(estimate: number, variance: number, variance0: number, confidence: number): Coefficient {
  const se = Math.sqrt(variance);
  const half = zOf(confidence) * se;
  return { estimate, se, se0: Math.sqrt(variance0), ci: [estimate - half, estimate + half] };
}

function at(values: readonly number[], index: number): number {
  return values[index] ?? 0;
}
