import { lowerGamma, upperGamma } from './gamma.js';
import { risingRoot } from './root.js';

/** P(X > x) of the chi-square distribution with df > 0 degrees of freedom (Abramowitz and Stegun 26.4.19). `chiSquareUpper(2, 2)` is 1/e. */
export function chiSquareUpper(x: number, df: number): number {
  return upperGamma(df / 2, x / 2);
}

/**
 * The x with P(X <= x) = p of the chi-square distribution with df > 0 degrees of freedom; throws RangeError unless
 * 0 <= p < 1. `chiSquareQuantile(0.5, 2)` is 2 ln 2.
 */
export function chiSquareQuantile(p: number, df: number): number {
  if (!(p >= 0 && p < 1)) throw new RangeError(`${p} is no probability below 1; give one from 0 on`);
  if (p === 0) return 0;
  const above = (x: number) => lowerGamma(df / 2, x / 2) - p;
  let high = df;
  while (above(high) < 0) high *= 2;
  // Bisection needs no density, and a limit is asked for rarely.
  return risingRoot((x) => ({ excess: above(x), slope: 0 }), 0, high, high / 2);
}
