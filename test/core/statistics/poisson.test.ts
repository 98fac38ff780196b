import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import {
  negativeBinomialCdf,
  negativeBinomialQuantile,
  poissonCdf,
  poissonProbability,
  poissonQuantile,
} from '../../../src/core/statistics/poisson.js';

// Made with scipy 1.10.1; the making stands in the file.
const { negative_binomial } = JSON.parse(
  readFileSync(new URL('../../vectors/more-inventory.json', import.meta.url), 'utf8'),
) as { negative_binomial: { mean: number; variance: number; service: number; smallest_k: number; cdf: number }[] };

const close = (actual: number, expected: number, rel: number) =>
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(rel * Math.abs(expected));

describe('the Poisson distribution', () => {
  // e^-3 3^k / k! summed by hand.
  it('has its first values', () => {
    close(poissonProbability(0, 3), Math.exp(-3), 1e-14);
    close(poissonProbability(2, 3), 4.5 * Math.exp(-3), 1e-14);
    close(poissonCdf(2, 3), 8.5 * Math.exp(-3), 1e-13);
    expect(poissonProbability(1.5, 3)).toBe(0);
    expect(poissonProbability(-1, 3)).toBe(0);
    expect(poissonCdf(-1, 3)).toBe(0);
    expect([poissonProbability(0, 0), poissonCdf(0, 0), poissonQuantile(0.99, 0)]).toEqual([1, 1, 0]);
  });

  it('adds up', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 200, noNaN: true }), fc.integer({ min: 0, max: 300 }), (mean, k) => {
        const sum = Array.from({ length: k + 1 }, (_, i) => poissonProbability(i, mean)).reduce((a, b) => a + b);
        expect(poissonCdf(k, mean)).toBeCloseTo(sum, 11);
      }),
    );
  });

  it('has the smallest count that reaches a probability', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.001, max: 0.9999, noNaN: true }),
        fc.double({ min: 0, max: 500, noNaN: true }),
        (p, mean) => {
          const k = poissonQuantile(p, mean);
          expect(poissonCdf(k, mean)).toBeGreaterThanOrEqual(p);
          if (k > 0) expect(poissonCdf(k - 1, mean)).toBeLessThan(p);
        },
      ),
    );
  });

  it.each([0, 1, Number.NaN])('has no count for a probability of %d', (p) => {
    expect(() => poissonQuantile(p, 3)).toThrow(RangeError);
  });
});

describe('the negative binomial distribution', () => {
  it('has all its cases here', () => expect(negative_binomial).toHaveLength(3));

  it.each(negative_binomial)('of mean $mean and variance $variance', ({ mean, variance, service, smallest_k, cdf }) => {
    expect(negativeBinomialQuantile(service, { mean, variance })).toBe(smallest_k);
    close(negativeBinomialCdf(smallest_k, { mean, variance }), cdf, 1e-12);
  });

  it('comes close to Poisson where the variance hardly exceeds the mean', () => {
    const moments = { mean: 2000, variance: 2000.0001 };
    expect(negativeBinomialCdf(2050, moments)).toBeCloseTo(poissonCdf(2050, 2000), 6);
    expect(negativeBinomialQuantile(0.95, moments)).toBe(poissonQuantile(0.95, 2000));
  });

  it('is not asked for a variance below the mean', () => {
    expect(() => negativeBinomialCdf(3, { mean: 5, variance: 5 })).toThrow(/take the Poisson distribution/);
  });
});
