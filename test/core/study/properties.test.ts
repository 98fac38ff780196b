import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { differences, equivalence } from '../../../src/core/study/differences.js';
import { ac1, kappa, type Weighting } from '../../../src/core/study/kappa.js';
import { passingBablok } from '../../../src/core/study/passing-bablok.js';
import { clopperPearson, wilson } from '../../../src/core/study/proportion.js';
import { deming } from '../../../src/core/study/regression.js';
import { signedRank } from '../../../src/core/study/signed-rank.js';
import { bowker, mcnemar } from '../../../src/core/study/symmetry.js';
import type { Table } from '../../../src/core/study/table.js';

const share = fc.integer({ min: 1, max: 2000 }).chain((n) => fc.tuple(fc.integer({ min: 0, max: n }), fc.constant(n)));
const result = fc.integer({ min: 1, max: 400 }).map((tenth) => tenth / 10);
const pairs = fc
  .array(fc.tuple(result, result), { minLength: 3, maxLength: 25 })
  .map((list) => ({ x: list.map(([x]) => x), y: list.map(([, y]) => y) }));
const table = (q: number) =>
  fc
    .array(fc.array(fc.integer({ min: 0, max: 30 }), { minLength: q, maxLength: q }), { minLength: q, maxLength: q })
    .filter((rows) => rows.flat().some((count) => count > 0));
const transposed = (rows: Table): number[][] => rows.map((_, i) => rows.map((row) => row[i]!));

describe('intervals of a share', () => {
  it.each([
    ['Wilson', wilson],
    ['Clopper-Pearson', clopperPearson],
  ] as const)('%s lies within 0 and 1, around the share, and mirrors', (_name, interval) => {
    fc.assert(
      fc.property(share, ([hits, n]) => {
        const [low, high] = interval(hits, n, 0.95);
        expect(low).toBeGreaterThanOrEqual(0);
        expect(high).toBeLessThanOrEqual(1);
        expect(low).toBeLessThanOrEqual(hits / n);
        expect(high).toBeGreaterThanOrEqual(hits / n);
        const [mirrorLow, mirrorHigh] = interval(n - hits, n, 0.95);
        expect(mirrorLow).toBeCloseTo(1 - high, 11);
        expect(mirrorHigh).toBeCloseTo(1 - low, 11);
      }),
    );
  });

  it('the exact one covers at least as often as it says', () => {
    // Coverage at p: the chance of the counts whose interval holds p, which must be at least 95 % (Clopper and Pearson 1934).
    const n = 30;
    for (const p of [0.01, 0.13, 0.5, 0.77, 0.95]) {
      let chance = (1 - p) ** n;
      let covered = 0;
      for (let hits = 0; hits <= n; hits++) {
        const [low, high] = clopperPearson(hits, n, 0.95);
        if (low <= p && p <= high) covered += chance;
        chance *= ((n - hits) / (hits + 1)) * (p / (1 - p));
      }
      expect(covered).toBeGreaterThanOrEqual(0.95);
    }
  });
});

describe('agreement', () => {
  it.each(['none', 'linear', 'quadratic'] as Weighting[])(
    'kappa (%s) does not ask which method is the new one',
    (weighting) => {
      fc.assert(
        fc.property(table(4), (rows) => {
          const [one, other] = [kappa(rows, weighting), kappa(transposed(rows), weighting)];
          expect(one.estimate === null).toBe(other.estimate === null);
          if (one.estimate === null) return;
          expect(one.estimate).toBeLessThanOrEqual(1);
          expect(one.estimate).toBeCloseTo(other.estimate!, 10);
          expect(one.se).toBeCloseTo(other.se!, 10);
          expect(one.se0).toBeCloseTo(other.se0!, 10);
        }),
      );
    },
  );

  it('weighted kappa of two categories is plain kappa', () => {
    fc.assert(
      fc.property(table(2), (rows) => {
        expect(kappa(rows, 'linear')).toEqual(kappa(rows, 'none'));
        expect(kappa(rows, 'quadratic')).toEqual(kappa(rows, 'none'));
      }),
    );
  });

  // The delta method for multinomial counts, its derivatives taken numerically, is the witness of the published variances.
  it.each<[string, (rows: Table) => { estimate: number | null; se: number | null }]>([
    ['kappa', (rows) => kappa(rows, 'none')],
    ['linear kappa', (rows) => kappa(rows, 'linear')],
    ['quadratic kappa', (rows) => kappa(rows, 'quadratic')],
    ['AC1', ac1],
  ])('the standard error of %s is that of the delta method', (_name, coefficient) => {
    const rows = [
      [200, 30, 10],
      [20, 150, 40],
      [0, 30, 120],
    ];
    const n = rows.flat().reduce((a, b) => a + b);
    // Tables of ten thousand times as many cases let a share move by a small step in whole counts.
    const scaled = rows.map((row) => row.map((count) => count * 1e6));
    const slopes = rows.map((row, i) =>
      row.map((_, j) => {
        const moved = (by: number) =>
          scaled.map((line, k) => line.map((count, l) => (k === i && l === j ? count + by : count)));
        const step = i === 2 && j === 0 ? 0 : 1000;
        const rise = coefficient(moved(1000)).estimate! - coefficient(moved(-step)).estimate!;
        return (rise / (1000 + step)) * n * 1e6;
      }),
    );
    // Moving a count moves the total too; the mean of the slopes takes that out.
    const mean = rows.flat().reduce((sum, count, k) => sum + (count / n) * slopes.flat()[k]!, 0);
    const variance = rows.flat().reduce((sum, count, k) => sum + (count / n) * (slopes.flat()[k]! - mean) ** 2, 0) / n;
    expect(coefficient(rows).se).toBeCloseTo(Math.sqrt(variance), 6);
  });

  it('tests of symmetry do not ask which method is the new one', () => {
    fc.assert(
      fc.property(fc.nat(60), fc.nat(60), table(3), (b, c, rows) => {
        expect(mcnemar(b, c).exactP).toBe(mcnemar(c, b).exactP);
        expect(mcnemar(b, c).midP).toBe(mcnemar(c, b).midP);
        expect(bowker(rows).chiSquare).toBeCloseTo(bowker(transposed(rows)).chiSquare, 10);
      }),
    );
  });
});

describe('comparisons of lots', () => {
  it("Deming's line does not ask which lot is x", () => {
    fc.assert(
      fc.property(pairs, fc.constantFrom(0.25, 1, 3), (given, ratio) => {
        const [there, back] = [deming(given, ratio), deming({ x: given.y, y: given.x }, 1 / ratio)];
        expect(there === null).toBe(back === null);
        // A line near the vertical has a slope too large to turn round in doubles.
        if (!there || !back || Math.abs(there.slope) > 1e3 || Math.abs(back.slope) > 1e3) return;
        expect(there.slope * back.slope).toBeCloseTo(1, 6);
      }),
    );
  });

  it("Passing and Bablok's line does not ask which lot is x", () => {
    fc.assert(
      fc.property(pairs, (given) => {
        const [there, back] = [passingBablok(given), passingBablok({ x: given.y, y: given.x })];
        // With an even number of slopes the median of reciprocals is not the reciprocal of the median; its ends are.
        if (!there || !back) return;
        const [low, high] = there.slopeCi;
        if (low !== null && low > 0 && back.slopeCi[1] !== null) expect(low * back.slopeCi[1]).toBeCloseTo(1, 6);
        if (high !== null && high > 0 && back.slopeCi[0] !== null) expect(high * back.slopeCi[0]).toBeCloseTo(1, 6);
      }),
    );
  });

  it('a line through all points is found by both', () => {
    const x = fc.uniqueArray(fc.integer({ min: 0, max: 500 }), { minLength: 4, maxLength: 20 });
    fc.assert(
      fc.property(x, fc.integer({ min: 1, max: 8 }), fc.integer({ min: -50, max: 50 }), (xs, slope, intercept) => {
        const exact = { x: xs, y: xs.map((value) => slope * value + intercept) };
        for (const line of [passingBablok(exact), deming(exact, 1)]) {
          expect(line!.slope).toBeCloseTo(slope, 8);
          expect(line!.intercept).toBeCloseTo(intercept, 6);
        }
      }),
    );
  });

  it('differences and ranks turn their sign with the lots', () => {
    fc.assert(
      fc.property(pairs, (given) => {
        const swapped = { x: given.y, y: given.x };
        expect(differences(swapped).bias).toBeCloseTo(-differences(given).bias, 10);
        expect(differences(swapped).sd).toBeCloseTo(differences(given).sd, 10);
        expect(equivalence(swapped, -3, 3).p).toBeCloseTo(equivalence(given, -3, 3).p, 10);
        const [one, other] = [signedRank(given), signedRank(swapped)];
        expect([one.positive, one.exact?.twoSided, one.exact?.less]).toEqual([
          other.negative,
          other.exact?.twoSided,
          other.exact?.greater,
        ]);
      }),
    );
  });

  // Counting all 2^n ways to sign the ranks is the witness.
  it('the exact p of the signed ranks is that of all ways to sign them', () => {
    const few = fc.array(fc.integer({ min: -4, max: 4 }), { minLength: 1, maxLength: 9 });
    fc.assert(
      fc.property(few, fc.constantFrom('wilcoxon' as const, 'pratt' as const), (ds, zeros) => {
        const ranked = zeros === 'pratt' ? ds : ds.filter((d) => d !== 0);
        const rank = (d: number) =>
          ranked.filter((e) => Math.abs(e) < Math.abs(d)).length +
          (ranked.filter((e) => Math.abs(e) === Math.abs(d)).length + 1) / 2;
        const ranks = ranked.filter((d) => d !== 0).map(rank);
        const observed = ranked.filter((d) => d > 0).reduce((sum, d) => sum + rank(d), 0);
        let atMost = 0;
        for (let signs = 0; signs < 2 ** ranks.length; signs++) {
          if (ranks.reduce((sum, r, i) => (signs & (1 << i) ? sum + r : sum), 0) <= observed) atMost++;
        }
        const { exact } = signedRank({ x: ds, y: ds.map(() => 0) }, zeros);
        expect(exact?.less).toBeCloseTo(atMost / 2 ** ranks.length, 12);
      }),
    );
  });
});
