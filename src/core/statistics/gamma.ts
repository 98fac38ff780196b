/** Lanczos approximation, g = 7 (coefficients by Godfrey 2001): about 15 significant digits for x > 0. */
const LANCZOS = [
  0.9999999999998099, 676.5203681218851, -1259.1392167224028, 771.3234287776531, -176.6150291621406, 12.507343278686905,
  -0.13857109526572012, 0.000009984369578019572, 1.5056327351493116e-7,
];
const LANCZOS_G = 7;

const EPSILON = Number.EPSILON;
/** Stands in for 0 as a denominator in Lentz's method. */
const TINY = 1e-300;
/** Far beyond what the series and the fraction need for shapes up to ten million. */
const MOST_TERMS = 100_000;

/** Natural logarithm of the gamma function for x > 0; throws RangeError for others. `logGamma(5)` is ln 24. */
export function logGamma(x: number): number {
  if (!(x > 0)) throw new RangeError(`the gamma function is asked at ${x}; give a number above 0`);
  // Below a half the approximation loses digits; Gamma(x) Gamma(1 - x) = pi / sin(pi x).
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const shifted = x - 1;
  const t = shifted + LANCZOS_G + 0.5;
  const sum = LANCZOS.reduce((total, c, i) => total + (i === 0 ? c : c / (shifted + i)), 0);
  return 0.5 * Math.log(2 * Math.PI) + (shifted + 0.5) * Math.log(t) - t + Math.log(sum);
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
    if (term < sum * EPSILON) return sum * density(a, x);
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
    if (Math.abs(step - 1) <= EPSILON) return fraction * density(a, x);
  }
  throw notSettled(a, x);
}

/** x^a e^-x / Gamma(a) */
function density(a: number, x: number): number {
  return Math.exp(a * Math.log(x) - x - logGamma(a));
}

function notSettled(a: number, x: number): RangeError {
  return new RangeError(`the incomplete gamma function did not settle at (${a}, ${x}); the shape is too large`);
}
