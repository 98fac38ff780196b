import { describe, expect, it } from '@jest/globals';
import { linearity } from '../../../src/core/study/linearity.js';
import { passingBablok } from '../../../src/core/study/passing-bablok.js';

const x = Array.from({ length: 40 }, (_, i) => i + 1);

describe('The linearity test of Passing and Bablok', () => {
  it('finds none on a line, whatever binary rounding makes of its decimals', () => {
    const y = x.map((value) => 0.1 + 1.1 * value);
    expect(linearity({ x, y }, { slope: 1.1, intercept: 0.1 })).toEqual({ above: 0, below: 0, h: 0, deviates: false });
  });

  it('holds where points lie above and below by turns, and not where the line is bent', () => {
    const turns = x.map((value, i) => value + (i % 2 === 0 ? 0.3 : -0.3));
    const bent = x.map((value) => value + (value - 20) ** 2 / 20);
    const of = (y: number[]) => linearity({ x, y }, passingBablok({ x, y })!)!;
    expect(of(turns).deviates).toBe(false);
    expect(of(bent).deviates).toBe(true);
  });

  // By hand from the paper's definition: scores of 2 above and 3 below are sqrt(3/2) and -sqrt(2/3); the line y = x is walked in
  // the order of y + x: below, below, above, above, below. Sums: -0.816, -1.633, -0.408, 0.816, 0.
  it('is what the paper says, reckoned by hand', () => {
    const found = linearity({ x: [1, 2, 3, 4, 5], y: [0.9, 1.9, 3.1, 4.1, 4.9] }, { slope: 1, intercept: 0 });
    expect(found).toMatchObject({ above: 2, below: 3, deviates: false });
    expect(found?.h).toBeCloseTo((2 * Math.sqrt(2 / 3)) / Math.sqrt(4), 12);
  });

  it('says nothing of a line that does not rise', () => {
    expect(linearity({ x: [1, 2], y: [2, 1] }, { slope: -1, intercept: 3 })).toBeNull();
  });
});
