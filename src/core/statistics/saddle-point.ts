/** Half of ln 2π. */
const HALF_LN_2PI = 0.9189385332046728;

/**
 * How far Stirling's formula misses the logarithm of x!, for x > 0: ln Γ(x+1) - (x + 1/2) ln x + x - ln(2π)/2. Stirling's
 * series (NIST DLMF 5.11.1) from 15 on, below that by the recurrence of the gamma function; absolute error below 1e-15.
 * `stirlingError(1)` is 0.08106146679532726.
 */
export function stirlingError(x: number): number {
  let steps = 0;
  let at = x;
  for (; at < 15; at += 1) steps += (at + 0.5) * Math.log1p(1 / at) - 1;
  const s = 1 / (at * at);
  return steps + (1 / 12 - (1 / 360 - (1 / 1260 - (1 / 1680 - s / 1188) * s) * s) * s) / at;
}

/**
 * x ln(x/m) + m - x, at least 0, without the cancellation of that form where x is near m (bd0 of C. Loader, Fast and
 * Accurate Computation of Binomial Probabilities, 2000). `deviance(1, 2)` is 1 - ln 2.
 */
export function deviance(x: number, m: number): number {
  if (x === 0) return m;
  const v = (x - m) / (x + m);
  if (Math.abs(v) > 0.1) return x * Math.log(x / m) + m - x;
  let term = 2 * x * v;
  let sum = (x - m) * v;
  for (let odd = 3; ; odd += 2) {
    term *= v * v;
    const next = sum + term / odd;
    if (next === sum) return sum;
    sum = next;
  }
}

/**
 * x^a y^b Γ(a+b+1) / (Γ(a+1) Γ(b+1)) for a, b >= 0 and x + y = 1, good to about 14 digits however large a and b are
 * (saddle point form of C. Loader, 2000). `binomialTerm(1, 1, 0.5, 0.5)` is 0.5.
 */
export function binomialTerm(a: number, b: number, x: number, y: number): number {
  if (a === 0) return y === 0 && b > 0 ? 0 : Math.exp(b * logOf(y, x));
  if (b === 0) return x === 0 ? 0 : Math.exp(a * logOf(x, y));
  if (x === 0 || y === 0) return 0;
  const n = a + b;
  const exponent = stirlingError(n) - stirlingError(a) - stirlingError(b) - deviance(a, n * x) - deviance(b, n * y);
  return Math.exp(exponent - HALF_LN_2PI) * Math.sqrt(n / a / b);
}

/** ln v by the smaller of v and 1 - v, the more exact one. */
function logOf(v: number, rest: number): number {
  return rest < v ? Math.log1p(-rest) : Math.log(v);
}
