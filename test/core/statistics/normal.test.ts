import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { logGamma, lowerGamma, upperGamma } from '../../../src/core/statistics/gamma.js';
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
  // Abramowitz and Stegun 6.1.8, 6.1.10 and table 6.3.
  it.each([
    [0.5, 0.5 * Math.log(Math.PI)],
    [1.5, Math.log(Math.sqrt(Math.PI) / 2)],
    [5, Math.log(24)],
    [0.25, Math.log(3.625609908221908)],
    [11, Math.log(3628800)],
  ])('has the logarithm known at %d', (x, expected) => close(logGamma(x), expected, 1e-14));

  it('rises by ln x from x to x + 1', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 500, noNaN: true }), (x) => {
        expect(logGamma(x + 1) - logGamma(x)).toBeCloseTo(Math.log(x), 10);
      }),
    );
  });

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
