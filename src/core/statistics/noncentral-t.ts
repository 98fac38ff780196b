import { normalCdf, normalDensity } from './normal.js';
import { risingRoot } from './root.js';

/** How far down the integrand is followed, as a power of e. */
const DEPTH = 40;

/**
 * P(T <= t) and the density at t, for T = (Z + delta) / sqrt(X / df) with Z standard normal and X chi-square of df > 0
 * degrees of freedom: the mean of P(Z + delta <= t s) over s = sqrt(X / df), by the trapezoidal rule in ln s, which
 * converges geometrically (Trefethen and Weideman, SIAM Review 2014;56:385-458). Absolute error below 1e-12. Throws
 * RangeError for a df that is not above 0. `noncentralT(0, 9, 1).cdf` is P(Z <= -1), 0.15865525393145707.
 */
export function noncentralT(t: number, df: number, delta: number): { cdf: number; density: number } {
  if (!(df > 0 && Number.isFinite(df))) throw new RangeError(`${df} degrees of freedom; give a number above 0`);
  // The weight of ln s = u falls from its peak at 0 like exp(df (u - (e^2u - 1) / 2)).
  const exponent = (u: number) => df * (u - Math.expm1(2 * u) / 2);
  const step = Math.min(0.1, 0.4 / Math.sqrt(2 * df), 0.4 / Math.abs(delta));
  let [weights, cdf, density] = [0, 0, 0];
  for (const side of [step, -step]) {
    for (let u = side > 0 ? 0 : side; exponent(u) > -DEPTH; u += side) {
      const s = Math.exp(u);
      const weight = Math.exp(exponent(u));
      weights += weight;
      cdf += weight * normalCdf(t * s - delta);
      density += weight * s * normalDensity(t * s - delta);
    }
  }
  return { cdf: cdf / weights, density: density / weights };
}

/**
 * The t with P(T <= t) = p of the noncentral t distribution; throws RangeError unless 0 < p < 1.
 * `noncentralTQuantile(0.99, 42, 1.2815515655446004 * Math.sqrt(43)) / Math.sqrt(43)` is the factor 1.8740 of the NIST
 * e-Handbook 7.2.6.3.
 */
export function noncentralTQuantile(p: number, df: number, delta: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`${p} is no probability between 0 and 1`);
  const at = (t: number) => {
    const { cdf, density } = noncentralT(t, df, delta);
    return { excess: cdf - p, slope: density };
  };
  let reach = 1;
  while (at(delta - reach).excess > 0 || at(delta + reach).excess < 0) reach *= 2;
  return risingRoot(at, delta - reach, delta + reach, delta);
}
