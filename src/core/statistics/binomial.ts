import { betaTails } from './beta.js';
import { binomialTerm } from './saddle-point.js';

/** P(X = k) in n trials of probability p each (C. Loader, 2000). `binomialProbability(1, 2, 0.5)` is 0.5. */
export function binomialProbability(k: number, n: number, p: number): number {
  return k < 0 || k > n ? 0 : binomialTerm(k, n - k, p, 1 - p);
}

/** P(X <= k) in n trials of probability p each, by the incomplete beta function (NIST DLMF 8.17.5). `binomialCdf(0, 2, 0.5)` is 0.25. */
export function binomialCdf(k: number, n: number, p: number): number {
  if (k < 0) return 0;
  if (k >= n) return 1;
  return betaTails(1 - p, p, n - k, k + 1).lower;
}

/**
 * The exact two-sided p of k successes in n trials against probability 1/2: twice the smaller tail, at most 1 (sign test).
 * `signP(1, 10)` is 0.021484375.
 */
export function signP(k: number, n: number): number {
  return Math.min(1, 2 * binomialCdf(Math.min(k, n - k), n, 0.5));
}
