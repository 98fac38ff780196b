import { lowerGamma, upperGamma } from './gamma.js';

/** Density of the standard normal distribution. `normalDensity(0)` is 0.3989422804014327. */
export function normalDensity(z: number): number {
  return Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
}

/**
 * Probability that a standard normal variable is at most z, exact in both tails, through the incomplete gamma function
 * (Abramowitz and Stegun 26.2.30 with 6.5.16). `normalCdf(1)` is 0.8413447460685429.
 */
export function normalCdf(z: number): number {
  const half = (z * z) / 2;
  return z < 0 ? upperGamma(0.5, half) / 2 : (1 + lowerGamma(0.5, half)) / 2;
}

/** Numerator and denominator of one of the three rational approximations, lowest power first. */
type Ratio = [number[], number[]];

// Wichura MJ, Algorithm AS 241 (PPND16), Applied Statistics 1988;37:477-484.
const CENTRE: Ratio = [
  [
    3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987, 67265.7709270087,
    33430.57558358813, 2509.0809287301227,
  ],
  [
    1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271,
    28729.085735721943, 5226.495278852854,
  ],
];
const FLANK: Ratio = [
  [
    1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684,
    0.2417807251774506, 0.022723844989269184, 0.0007745450142783414,
  ],
  [
    1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
    0.0005475938084995345, 1.0507500716444169e-9,
  ],
];
const TAIL: Ratio = [
  [
    6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
    0.0012426609473880784, 0.000027115555687434876, 2.0103343992922881e-7,
  ],
  [
    1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133, 0.000018463183175100548,
    1.421511758316446e-7, 2.0442631033899397e-15,
  ],
];

/**
 * The z below which a standard normal variable lies with probability p, to about 1e-16 relative (Wichura 1988, AS 241);
 * throws RangeError unless 0 < p < 1. `normalQuantile(0.95)` is 1.6448536269514722.
 */
export function normalQuantile(p: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`${p} is no probability between 0 and 1`);
  const offset = p - 0.5;
  if (Math.abs(offset) <= 0.425) return offset * ratio(CENTRE, 0.180625 - offset * offset);
  const depth = Math.sqrt(-Math.log(offset < 0 ? p : 1 - p));
  const size = depth <= 5 ? ratio(FLANK, depth - 1.6) : ratio(TAIL, depth - 5);
  return offset < 0 ? -size : size;
}

/**
 * Unit normal loss: by how much a standard normal variable exceeds z on average, nothing counted where it does not
 * (Silver, Pyke and Thomas, 4th ed., appendix; formula from memory). `normalLoss(1)` is 0.0833154705876863.
 */
export function normalLoss(z: number): number {
  return z < 0 ? normalLoss(-z) - z : normalDensity(z) - z * normalCdf(-z);
}

/**
 * The z with a given unit normal loss, by Newton's method on a convex, falling function; throws RangeError for a loss
 * of 0 or less. `normalLossInverse(0.05)` is 1.2555817153018227.
 */
export function normalLossInverse(loss: number): number {
  if (!(loss > 0 && Number.isFinite(loss))) throw new RangeError(`${loss} is no expected loss; give one above 0`);
  // Left of the solution, so that no step overshoots: the loss at -loss is above the loss asked for.
  let z = -loss;
  for (let step = 1; step < 200; step++) {
    const next = z + (normalLoss(z) - loss) / normalCdf(-z);
    if (Math.abs(next - z) <= 1e-15 * Math.max(1, Math.abs(z))) return next;
    z = next;
  }
  return z;
}

function ratio([numerator, denominator]: Ratio, x: number): number {
  return polynomial(numerator, x) / polynomial(denominator, x);
}

function polynomial(coefficients: number[], x: number): number {
  return coefficients.reduceRight((sum, c) => sum * x + c, 0);
}
