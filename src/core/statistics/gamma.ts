import { deviance, stirlingError } from './saddle-point.js';

const EPSILON = Number.EPSILON;
/** Stands in for 0 as a denominator in Lentz's method. */
const TINY = 1e-300;
/** Far beyond what the series and the fraction need for shapes up to ten million. */
const MOST_TERMS = 100_000;

/**
 * x^a e^-x / Gamma(a + 1) for a, x above 0, good to about 14 digits however large they are (saddle point form of C. Loader,
 * Fast and Accurate Computation of Binomial Probabilities, 2000). `gammaTerm(1, 1)` is 1/e.
 */
export function gammaTerm(a: number, x: number): number {
  return Math.exp(-stirlingError(a) - deviance(a, x)) / Math.sqrt(2 * Math.PI * a);
}

/**
 * Regularised lower incomplete gamma function P(a, x): the probability that a gamma variable of shape a is at most x
 * (Abramowitz and Stegun 6.5.1; series 6.5.29, continued fraction 6.5.31 by Lentz's method). Throws RangeError unless
 * a > 0 and x >= 0. `lowerGamma(1, 1)` is 1 - 1/e.
 */
export function lowerGamma(a: number, x: number): number {
  return x < inRange(a, x) + 1 ? bySeries(a, x) : 1 - byFraction(a, x);
}

/** Its complement Q(a, x) = 1 - P(a, x), to full precision where it is small. `upperGamma(1, 1)` is 1/e. */
export function upperGamma(a: number, x: number): number {
  return x < inRange(a, x) + 1 ? 1 - bySeries(a, x) : byFraction(a, x);
}

function inRange(a: number, x: number): number {
  if (!(a > 0 && x >= 0 && Number.isFinite(a))) {
    throw new RangeError(
      `the incomplete gamma function is asked at (${a}, ${x}); give a shape above 0 and x of at least 0`,
    );
  }
  return a;
}

function bySeries(a: number, x: number): number {
  if (x === 0) return 0;
  let term = 1 / a;
  let sum = term;
  for (let n = 1; n < MOST_TERMS; n++) {
    term *= x / (a + n);
    sum += term;
    if (term < sum * EPSILON) return sum * a * gammaTerm(a, x);
  }
  throw notSettled(a, x);
}

function byFraction(a: number, x: number): number {
  if (x === Number.POSITIVE_INFINITY) return 0;
  let b = x + 1 - a;
  let c = 1 / TINY;
  let d = 1 / b;
  let fraction = d;
  for (let n = 1; n < MOST_TERMS; n++) {
    const numerator = -n * (n - a);
    b += 2;
    d = 1 / (numerator * d + b || TINY);
    c = b + numerator / c || TINY;
    const step = c * d;
    fraction *= step;
    if (Math.abs(step - 1) <= EPSILON) return fraction * a * gammaTerm(a, x);
  }
  throw notSettled(a, x);
}

function notSettled(a: number, x: number): RangeError {
  return new RangeError(`the incomplete gamma function did not settle at (${a}, ${x}); the shape is too large`);
}
