import { betaQuantile, betaTails } from './beta.js';

/** P(T <= t) of Student's t with df > 0 degrees of freedom (NIST DLMF 8.17 for its beta form). `studentTCdf(1, 1)` is 0.75. */
export function studentTCdf(t: number, df: number): number {
  if (Math.abs(t) === Number.POSITIVE_INFINITY) return t > 0 ? 1 : 0;
  const square = t * t;
  const beyond = betaTails(df / (df + square), square / (df + square), df / 2, 0.5).lower / 2;
  return t > 0 ? 1 - beyond : beyond;
}

/** The t with P(T <= t) = p of Student's t with df > 0 degrees of freedom. `studentTQuantile(0.75, 1)` is 1. */
export function studentTQuantile(p: number, df: number): number {
  if (p > 0.5) return -studentTQuantile(1 - p, df);
  // Of the two beta forms the one whose root stays away from 1, where digits would be lost.
  if (p < 0.25) {
    const x = betaQuantile(2 * p, df / 2, 0.5);
    return -Math.sqrt((df * (1 - x)) / x);
  }
  const y = betaQuantile(1 - 2 * p, 0.5, df / 2);
  return -Math.sqrt((df * y) / (1 - y));
}
