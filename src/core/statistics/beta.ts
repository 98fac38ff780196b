import { risingRoot } from './root.js';
import { binomialTerm } from './saddle-point.js';

/** Both tails of a distribution at a point: P(X <= x) and P(X > x), each exact to its own last digits. */
export interface Tails {
  lower: number;
  upper: number;
}

/**
 * The regularised incomplete beta function and its complement at x, with `rest` = 1 - x given apart so that neither loses
 * digits; throws RangeError unless a and b are above 0. Continued fraction 8.17.22 of the NIST DLMF by the modified Lentz algorithm.
 * `betaTails(0.25, 0.75, 1, 2)` is `{lower: 0.4375, upper: 0.5625}`.
 */
export function betaTails(x: number, rest: number, a: number, b: number): Tails {
  if (!(a > 0 && b > 0)) throw new RangeError(`beta(${a}, ${b}) is no distribution; give two numbers above 0`);
  if (x <= 0) return { lower: 0, upper: 1 };
  if (rest <= 0) return { lower: 1, upper: 0 };
  if (x > (a + 1) / (a + b + 2)) {
    const upper = smallerTail(rest, x, b, a);
    return { lower: 1 - upper, upper };
  }
  const lower = smallerTail(x, rest, a, b);
  return { lower, upper: 1 - lower };
}

/** P(X <= x) of the beta distribution with a, b > 0 (NIST DLMF 8.17). `betaCdf(0.25, 1, 2)` is 0.4375. */
export function betaCdf(x: number, a: number, b: number): number {
  return betaTails(x, 1 - x, a, b).lower;
}

/**
 * The x with P(X <= x) = p of the beta distribution with a, b > 0; throws RangeError for a p outside 0 to 1.
 * `betaQuantile(0.4375, 1, 2)` is 0.25.
 */
export function betaQuantile(p: number, a: number, b: number): number {
  if (!(p >= 0 && p <= 1)) throw new RangeError(`${p} is no probability; give one from 0 to 1`);
  if (p === 0 || p === 1) return p;
  return risingRoot((x) => ({ excess: betaCdf(x, a, b) - p, slope: density(x, a, b) }), 0, 1, a / (a + b));
}

function density(x: number, a: number, b: number): number {
  return (binomialTerm(a, b, x, 1 - x) * a * b) / ((a + b) * x * (1 - x));
}

function smallerTail(x: number, rest: number, a: number, b: number): number {
  return ((binomialTerm(a, b, x, rest) * b) / (a + b)) * fraction(x, a, b);
}

/** A partial denominator that came out 0 in Lentz's algorithm is moved by this much. */
const TINY = 1e-300;

function fraction(x: number, a: number, b: number): number {
  const away = (value: number) => (Math.abs(value) < TINY ? TINY : value);
  let c = 1;
  let d = 1 / away(1 - ((a + b) * x) / (a + 1));
  let value = d;
  for (let m = 1, change = 0; Math.abs(change - 1) > 1e-15; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / away(1 + even * d);
    c = away(1 + even / c);
    value *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / away(1 + odd * d);
    c = away(1 + odd / c);
    change = d * c;
    value *= change;
  }
  return value;
}
