import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { gammaTerm, lowerGamma, upperGamma } from '../../../src/core/statistics/gamma.js';
import {
  normalCdf,
  normalDensity,
  normalLoss,
  normalLossInverse,
  normalQuantile,
} from '../../../src/core/statistics/normal.js';

// Made with mpmath 1.2.1; the making stands in the file.
const { normal_quantiles, normal_cdf_pdf_loss, inverse_loss } = JSON.parse(
  readFileSync(new URL('../../vectors/more-inventory.json', import.meta.url), 'utf8'),
) as {
  normal_quantiles: { p: string; z: number }[];
  normal_cdf_pdf_loss: { z: number; cdf: number; pdf: number; loss: number }[];
  inverse_loss: { loss: number; z: number }[];
};

const close = (actual: number, expected: number, rel: number) =>
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(rel * Math.abs(expected));

describe('the normal distribution', () => {
  it('has all its cases here', () => {
    expect([normal_quantiles.length, normal_cdf_pdf_loss.length, inverse_loss.length]).toEqual([25, 24, 9]);
  });

  // A probability next to 1 is already rounded when it arrives: half an ulp of 0.999999 moves z by 1e-11.
  it.each(normal_quantiles)('quantile of $p', ({ p, z }) => {
    close(normalQuantile(Number(p)), z, Number(p) > 0.9999 ? 1e-11 : 1e-14);
  });

  it.each(normal_cdf_pdf_loss)('density, distribution and loss at $z', ({ z, cdf, pdf, loss }) => {
    close(normalDensity(z), pdf, 1e-14);
    close(normalCdf(z), cdf, 1e-13);
    close(normalLoss(z), loss, 1e-11);
  });

  it.each(inverse_loss)('factor of a loss of $loss', ({ loss, z }) => close(normalLossInverse(loss), z, 1e-11));

  it('finds the factor of any loss', () => {
    fc.assert(
      fc.property(fc.double({ min: -30, max: 7, noNaN: true }), (z) => {
        expect(normalLossInverse(normalLoss(z))).toBeCloseTo(z, 7);
      }),
    );
  });

  it('has a quantile that undoes the distribution', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-300, max: 1 - 1e-15, noNaN: true }), (p) => {
        close(normalCdf(normalQuantile(p)), p, 1e-11);
      }),
    );
  });

  it.each([0, 1, -0.1, 1.1, Number.NaN])('has no quantile of %d', (p) => {
    expect(() => normalQuantile(p)).toThrow(RangeError);
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])('has no factor of a loss of %d', (loss) => {
    expect(() => normalLossInverse(loss)).toThrow(RangeError);
  });
});

describe('the gamma function', () => {
  // Gamma(3/2) = sqrt(pi)/2 and 5! = 120, Abramowitz and Stegun 6.1.9 and 6.1.6.
  it('has the term known at a half and at 5', () => {
    close(gammaTerm(0.5, 2), (Math.sqrt(2) * Math.exp(-2)) / (Math.sqrt(Math.PI) / 2), 1e-14);
    close(gammaTerm(5, 3), (243 * Math.exp(-3)) / 120, 1e-14);
  });

  // scipy 1.17.1, scipy.stats.poisson.cdf(10**6, 1e6).
  it('keeps its digits where the shape is large', () => close(upperGamma(1_000_001, 1e6), 0.5002659614862837, 1e-12));

  it('is in parts what the exponential and the error function are', () => {
    close(upperGamma(1, 3), Math.exp(-3), 1e-14);
    close(lowerGamma(1, 0.001), -Math.expm1(-0.001), 1e-14);
    // erfc(2), Abramowitz and Stegun table 7.1 and its complement.
    close(upperGamma(0.5, 4), 0.004677734981047266, 1e-13);
  });

  it('has parts that add up to 1', () => {
    const positive = fc.double({ min: 0.05, max: 300, noNaN: true });
    fc.assert(
      fc.property(positive, positive, (a, x) => {
        expect(lowerGamma(a, x) + upperGamma(a, x)).toBeCloseTo(1, 14);
      }),
    );
  });

  it.each([
    [0, 1],
    [-1, 1],
    [1, -1],
    [Number.NaN, 1],
  ])('is not asked at (%d, %d)', (a, x) => {
    expect(() => lowerGamma(a, x)).toThrow(RangeError);
    expect(() => upperGamma(a, x)).toThrow(RangeError);
  });
});
