import type { Line } from './regression.js';
import { checkedPairs, zipped, type Pairs } from './pairs.js';

/** How far the points wander from a line when they are followed along it. */
export interface Linearity {
  above: number;
  below: number;
  /** Largest distance of the running sum from 0, over the square root of `below` + 1. */
  h: number;
  /** True when h reaches the limit: the two methods are not linear to each other. */
  deviates: boolean;
}

/** Of Kolmogorov and Smirnov, at 5 % (Passing and Bablok 1983, section 5). */
const LIMIT_5_PERCENT = 1.36;

/**
 * The test of linearity of Passing and Bablok (J Clin Chem Clin Biochem 1983;21:709-720): a point above the line scores
 * sqrt(below/above), one below -sqrt(above/below), one on it 0; sorted by their distance along the line, (y + x/slope -
 * intercept)/sqrt(1 + 1/slope^2), the scores are summed, and the largest sum is held against 1.36 sqrt(below + 1), at 5 %. Points in
 * the same place along the line count together. Null for a line that does not rise. Ten points on a line give h 0.
 */
export function linearity(pairs: Pairs, { slope, intercept }: Line): Linearity | null {
  if (!(slope > 0)) return null;
  const points = zipped(checkedPairs(pairs, 2)).map(([x, y]) => ({
    // Decimals of the results leave residuals of binary rounding, which are no distance from the line.
    side: Math.sign(onLine(y - (intercept + slope * x), x, y, slope)),
    along: (y + x / slope - intercept) / Math.sqrt(1 + 1 / slope ** 2),
  }));
  const above = points.filter(({ side }) => side > 0).length;
  const below = points.filter(({ side }) => side < 0).length;
  const score = (side: number) => (side === 0 ? 0 : side > 0 ? Math.sqrt(below / above) : -Math.sqrt(above / below));
  points.sort((a, b) => a.along - b.along);
  let [sum, largest] = [0, 0];
  points.forEach(({ side, along }, i) => {
    sum += score(side);
    if (points[i + 1]?.along !== along) largest = Math.max(largest, Math.abs(sum));
  });
  const h = largest / Math.sqrt(below + 1);
  return { above, below, h, deviates: h >= LIMIT_5_PERCENT };
}

function onLine(residual: number, x: number, y: number, slope: number): number {
  return Math.abs(residual) <= 1e-12 * Math.max(Math.abs(y), Math.abs(slope * x)) ? 0 : residual;
}
