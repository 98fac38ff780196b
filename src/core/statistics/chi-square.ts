import { gammaTerm, lowerGamma, upperGamma } from './gamma.js';
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
  const shape = df / 2;
  const at = (x: number) => ({
    excess: lowerGamma(shape, x / 2) - p,
    slope: (gammaTerm(shape, x / 2) * shape) / x,
  });
  let high = df;
  while (at(high).excess < 0) high *= 2;
  return risingRoot(at, 0, high, high / 2);
}
