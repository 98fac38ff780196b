import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { differences, equivalence, limitsIntervals } from '../../../src/core/study/differences.js';
import { fleissKappa } from '../../../src/core/study/fleiss.js';
import { ac1, kappa, pabak, prevalenceAndBias, rawAgreement } from '../../../src/core/study/kappa.js';
import { passingBablok } from '../../../src/core/study/passing-bablok.js';
import { clopperPearson, proportion, wilson } from '../../../src/core/study/proportion.js';
import { deming, leastSquares } from '../../../src/core/study/regression.js';
import {
  casesForClaim,
  casesForWidth,
  pairsForDifference,
  pairsForEquivalence,
} from '../../../src/core/study/sample-size.js';
import { signedRank } from '../../../src/core/study/signed-rank.js';
import { bowker, mcnemar } from '../../../src/core/study/symmetry.js';

const vectors = <T>(name: string) =>
  JSON.parse(readFileSync(new URL(`../../vectors/${name}.json`, import.meta.url), 'utf8')) as T;
const refusal = (code: string) => expect.objectContaining({ code });
const near = (digits: number) => (expected: number) => expect.closeTo(expected, digits) as unknown as number;

describe('shares', () => {
  // Newcombe, Stat Med 1998;17:857-872, table I.
  it.each([
    [81, 263, [0.2553, 0.3662], [0.2527, 0.3676]],
    [15, 148, [0.0624, 0.1605], [0.0578, 0.1617]],
    [0, 20, [0, 0.1611], [0, 0.1684]],
    [1, 29, [0.0061, 0.1718], [0.0009, 0.1776]],
  ])('%d of %d has the published intervals', (hits, n, score, exact) => {
    expect(wilson(hits, n, 0.95)).toEqual(score.map(near(4)));
    expect(clopperPearson(hits, n, 0.95)).toEqual(exact.map(near(4)));
  });

  it('of nothing are undefined, and of nonsense refused', () => {
    expect(proportion(0, 0, 0.95)).toEqual({ estimate: null, wilson: null, clopperPearson: null });
    for (const [hits, n] of [
      [2, 1],
      [-1, 3],
      [0.5, 1],
      [1, NaN],
    ] as const) {
      expect(() => proportion(hits, n, 0.95)).toThrow(refusal('bad-count'));
    }
    expect(() => proportion(1, 2, 1)).toThrow(refusal('bad-setting'));
  });
});

describe('agreement of two', () => {
  // Fleiss, Statistical Methods for Rates and Proportions, 2nd ed. 1981, chapter 13, as the case K01 carries it.
  it('kappa of the diagnoses', () => {
    expect(
      kappa(
        [
          [75, 1, 4],
          [5, 4, 1],
          [0, 0, 10],
        ],
        'none',
      ).estimate,
    ).toBeCloseTo(0.68, 2);
  });

  // Published with se 0.062 and se0 0.069, as the case K12 carries it.
  it('kappa with both standard errors', () => {
    const { estimate, se, se0 } = kappa(
      [
        [25, 3, 5],
        [6, 32, 8],
        [1, 0, 20],
      ],
      'none',
    );
    expect([estimate, se, se0]).toEqual([near(3)(0.654), near(3)(0.062), near(3)(0.069)]);
  });

  // Feinstein and Cicchetti, J Clin Epidemiol 1990;43:543-549: the same 85 % agreement, kappa 0.70 and 0.32.
  it('the paradox of kappa, and what stands beside it', () => {
    const [even, uneven] = [
      [
        [40, 9],
        [6, 45],
      ],
      [
        [80, 10],
        [5, 5],
      ],
    ];
    expect([rawAgreement(even), rawAgreement(uneven)]).toEqual([0.85, 0.85]);
    expect([kappa(even, 'none').estimate, kappa(uneven, 'none').estimate]).toEqual([near(2)(0.7), near(2)(0.32)]);
    expect([pabak(even), pabak(uneven)]).toEqual([near(12)(0.7), near(12)(0.7)]);
    expect(ac1(uneven).estimate).toBeGreaterThan(0.8);
    expect(prevalenceAndBias(uneven)).toEqual({ prevalence: 0.75, bias: near(12)(0.05) });
  });

  // Agresti, Categorical Data Analysis, approval of a prime minister: 17.36.
  it("McNemar's chi-square of the approval table", () => {
    expect(mcnemar(150, 86).chiSquare).toBeCloseTo(17.36, 2);
    expect(mcnemar(150, 86).chiSquareCorrected).toBeCloseTo(63 ** 2 / 236, 12);
    expect(mcnemar(0, 0)).toEqual({ exactP: 1, midP: null, chiSquare: null, chiSquareCorrected: null });
  });

  it("Bowker's test is McNemar's on two categories, with both usages for pairs never confused", () => {
    expect(
      bowker([
        [794, 150],
        [86, 570],
      ]),
    ).toMatchObject({ chiSquare: near(2)(17.36), df: 1, dfUsed: 1 });
    expect(
      bowker([
        [5, 3, 0],
        [1, 5, 0],
        [0, 0, 2],
      ]),
    ).toMatchObject({ chiSquare: 1, df: 3, dfUsed: 1 });
    expect(
      bowker([
        [5, 0],
        [0, 5],
      ]),
    ).toEqual({ chiSquare: 0, df: 1, p: 1, dfUsed: 0, pUsed: 1 });
  });

  it.each([
    ['not square', [[1, 2]], 'bad-table'],
    ['of one category', [[1]], 'bad-table'],
    [
      'with half a case',
      [
        [1, 0.5],
        [1, 1],
      ],
      'bad-count',
    ],
    [
      'with less than no case',
      [
        [1, -1],
        [1, 1],
      ],
      'bad-count',
    ],
    [
      'of no case',
      [
        [0, 0],
        [0, 0],
      ],
      'too-few',
    ],
  ])('a table %s is refused', (_what, table, code) => {
    expect(() => kappa(table, 'none')).toThrow(refusal(code));
  });
});

describe('agreement of several', () => {
  // Fleiss, Psychol Bull 1971;76:378-382, psychiatric diagnoses: 0.430; z 17.65183 with the standard error of 1979.
  it("Fleiss' kappa and its z", () => {
    const { cases } = vectors<{ cases: { id: string; counts: number[][] }[] }>('agreement');
    const { estimate, se0 } = fleissKappa(cases.find(({ id }) => id === 'F01')!.counts);
    expect([estimate, estimate! / se0!]).toEqual([near(3)(0.43), near(4)(17.65183)]);
  });

  it.each([
    [
      'rows read by different numbers',
      [
        [2, 0],
        [2, 1],
      ],
      'bad-table',
    ],
    ['a single reader', [[1, 0]], 'bad-table'],
    [
      'rows of different length',
      [
        [2, 0],
        [2, 0, 0],
      ],
      'bad-table',
    ],
    ['no case', [], 'bad-table'],
    ['half a reader', [[1.5, 0.5]], 'bad-count'],
  ])('%s are refused', (_what, counts, code) => {
    expect(() => fleissKappa(counts)).toThrow(refusal(code));
  });
});

interface Wilcoxon {
  id: string;
  source: string;
  x: number[];
  y: number[];
  n_nonzero: number;
  undefined?: string;
  [key: string]: unknown;
}

describe('paired scores', () => {
  const { cases } = vectors<{ cases: Wilcoxon[] }>('wilcoxon');

  it('are all here', () => {
    expect(cases).toHaveLength(12);
  });

  // Made with R 4.2.2 and its exact packages, as the file says.
  it.each(cases.filter((one) => one.undefined === undefined))('$id $source', (one) => {
    const got = signedRank(one);
    const pratt = signedRank(one, 'pratt');
    expect({
      n_nonzero: got.n,
      V_plus: got.positive,
      V_minus: got.negative,
      rank_biserial: got.rankBiserial,
      exact_two_sided: got.exact?.twoSided,
      exact_greater: got.exact?.greater,
      exact_less: got.exact?.less,
      z_no_correction: got.z,
      normal_p_no_correction: got.normalP,
      normal_p_continuity: got.normalPCorrected,
      pratt_exact: pratt.exact?.twoSided,
      pratt_z: pratt.z,
      sign_test_two_sided: got.signTestP,
      walsh_median_nonzero: got.walshMedian,
    }).toEqual(
      Object.fromEntries(
        ['n_nonzero', 'V_plus', 'V_minus', 'rank_biserial', 'exact_two_sided', 'exact_greater', 'exact_less']
          .concat(['z_no_correction', 'normal_p_no_correction', 'normal_p_continuity', 'pratt_exact', 'pratt_z'])
          .concat(['sign_test_two_sided', 'walsh_median_nonzero'])
          .map((key) => [key, near(9)(one[key] as number)]),
      ),
    );
  });

  it('without any difference are nothing to test', () => {
    expect(signedRank(cases.find(({ id }) => id === 'W05')!)).toEqual({
      n: 0,
      positive: 0,
      negative: 0,
      rankBiserial: null,
      walshMedian: null,
      exact: { twoSided: 1, greater: 1, less: 1 },
      z: 0,
      normalP: 1,
      normalPCorrected: 1,
      signTestP: 1,
    });
  });

  it('count differences as ties that only binary rounding parts', () => {
    expect(signedRank({ x: [0.3, 0.1, 0.5], y: [0.2, 0.2, 0.1] })).toMatchObject({ positive: 4.5, negative: 1.5 });
  });

  it('of more than fifty pairs are left to the normal approximation', () => {
    const x = Array.from({ length: 51 }, (_, i) => i + 1);
    expect(signedRank({ x, y: x.map(() => 0) }).exact).toBeNull();
  });
});

describe('two lots', () => {
  const { cases } = vectors<{ cases: { id: string; x: number[]; y: number[] }[] }>('lotcompare');
  const pefr = cases.find(({ id }) => id === 'pefr')!;

  // Bland and Altman, Lancet 1986;i:307-310: mean -2.1, SD 38.8, interval of the bias -22.0 to 17.8; the published limits -79.7 and
  // 75.5 take 2 for 1.96.
  it('bias and limits of the peak flow meters', () => {
    const { bias, sd, biasCi, limits } = differences(pefr);
    const { lower, upper } = limitsIntervals(differences(pefr));
    expect([bias, sd, ...biasCi]).toEqual([near(1)(-2.1), near(1)(38.8), near(1)(-22.0), near(1)(17.8)]);
    expect([bias - 2 * sd, bias + 2 * sd]).toEqual([near(0)(-79.7), near(0)(75.5)]);
    // 1986, from memory: the lower limit lies within -114.3 and -45.1 by SE sqrt(3 s^2/n), the upper within 40.9 and 110.1; the
    // exact intervals reach farther out, as Carkeet 2015 shows.
    expect(lower[0]).toBeLessThan(-114.3);
    expect(upper[1]).toBeGreaterThan(110.1);
    expect(lower[1]).toBeGreaterThan(limits[0]);
    expect(upper[0]).toBeLessThan(limits[1]);
  });

  it('exact intervals of the limits are mirror images around the bias', () => {
    const found = differences({ x: [1, 2, 4, 7, 11], y: [0, 3, 3, 8, 9] });
    const { lower, upper } = limitsIntervals(found);
    expect([lower[0] + upper[1], lower[1] + upper[0]]).toEqual([near(10)(2 * found.bias), near(10)(2 * found.bias)]);
  });

  // Sen, J Am Stat Assoc 1968;63:1379-1389: slope 4 and, with all slopes above -1, the same by Passing and Bablok.
  it("Sen's line", () => {
    expect(passingBablok({ x: [1, 2, 3, 4, 10, 12, 18], y: [9, 15, 19, 20, 45, 55, 78] })).toMatchObject({
      slope: 4,
      intercept: 6,
    });
  });

  it('that do not rise together have no Passing-Bablok line, and too few leave it open', () => {
    expect(passingBablok({ x: [1, 2, 3], y: [3, 2, 1] })).toBeNull();
    expect(passingBablok({ x: [1, 1], y: [1, 1] })).toBeNull();
    expect(passingBablok({ x: [1, 2, 3], y: [1, 2, 3] })).toEqual({
      slope: 1,
      intercept: 0,
      slopeCi: [null, null],
      interceptCi: [null, null],
    });
  });

  it('that do not vary have no line', () => {
    expect(leastSquares({ x: [1, 1, 1], y: [1, 2, 3] })).toBeNull();
    expect(deming({ x: [1, 1, 1], y: [1, 2, 3] }, 1)).toBeNull();
    expect(deming({ x: [1, 1, 2], y: [1, 2, 3] }, 1)).toMatchObject({ slopeCi: null, interceptCi: null });
  });

  it('without spread are equivalent by their difference alone', () => {
    expect(equivalence({ x: [2, 3], y: [1, 2] }, -0.5, 0.5)).toMatchObject({ p: 1, equivalent: false });
    expect(equivalence({ x: [2, 3], y: [1, 2] }, -2, 2)).toMatchObject({ p: 0, equivalent: true });
  });

  it.each<[string, () => unknown, string]>([
    ['unequal lists', () => differences({ x: [1, 2], y: [1] }), 'bad-pairs'],
    ['one pair', () => differences({ x: [1], y: [1] }), 'too-few'],
    ['two pairs for a line with errors', () => deming({ x: [1, 2], y: [1, 2] }, 1), 'too-few'],
    ['an infinite result', () => differences({ x: [1, Infinity], y: [1, 2] }), 'bad-result'],
    ['a ratio of nothing', () => deming({ x: [1, 2, 3], y: [1, 2, 4] }, 0), 'bad-setting'],
    ['limits the wrong way round', () => equivalence({ x: [1, 2], y: [1, 3] }, 1, -1), 'bad-limits'],
    ['too many pairs', () => signedRank({ x: Array(5001).fill(1), y: Array(5001).fill(2) }), 'too-many'],
  ])('%s are refused', (_what, act, code) => {
    expect(act).toThrow(refusal(code));
  });
});

describe('how many', () => {
  // 59 without failure for 95/95 and 29 for 90/95: common tables of binomial acceptance.
  it('cases show a claim', () => {
    expect([casesForClaim(0, 0.95, 0.95), casesForClaim(0, 0.9, 0.95)]).toEqual([59, 29]);
    // Exact ties must count as reached: 0.5^2 is 0.25, and 0.1^1 is 0.1 whatever 1 - 0.9 is in doubles.
    expect([casesForClaim(0, 0.5, 0.75), casesForClaim(0, 0.1, 0.9)]).toEqual([2, 1]);
  });

  it('cases keep an interval narrow from there on, and not one fewer', () => {
    const goal = { expected: 0.9, halfWidth: 0.05, confidence: 0.95 };
    const { wilson: n } = casesForWidth(goal);
    const half = (cases: number) => {
      const [low, high] = wilson(Math.floor(0.9 * cases + 0.5), cases, 0.95);
      return (high - low) / 2;
    };
    expect(half(n - 1)).toBeGreaterThan(0.05);
    for (let cases = n; cases < 5 * n; cases++) expect(half(cases)).toBeLessThanOrEqual(0.05);
  });

  const sizes = vectors<{
    sampleSizeDifference: Record<string, number>[];
    sampleSizeEquivalence: Record<string, number>[];
  }>('lotcompare');

  // Made with scipy's noncentral t, as the file says.
  it.each(sizes.sampleSizeDifference)('pairs find a difference of $critical_difference at power $power', (one) => {
    const {
      critical_difference: difference,
      sd_of_paired_difference: sd,
      alpha,
      power,
    } = one as Record<string, number>;
    const got = pairsForDifference({ difference: difference!, sd: sd!, alpha: alpha!, power: power! });
    expect(got).toEqual({ normal: one.n_normal, exact: one.n_t, power: near(9)(one.achieved_power_t!) });
  });

  it.each(sizes.sampleSizeEquivalence)('pairs show equivalence within $equivalence_limit at power $power', (one) => {
    const { equivalence_limit: difference, sd_of_paired_difference: sd, alpha, power } = one as Record<string, number>;
    expect(pairsForEquivalence({ difference: difference!, sd: sd!, alpha: alpha!, power: power! })).toBe(one.n_normal);
  });

  it.each<[string, () => unknown]>([
    ['a share above 1', () => casesForWidth({ expected: 1.1, halfWidth: 0.1, confidence: 0.95 })],
    ['a width that asks for millions', () => casesForWidth({ expected: 0.5, halfWidth: 0.0001, confidence: 0.95 })],
    ['certainty', () => casesForClaim(0, 0.95, 1)],
    ['a claim of all', () => casesForClaim(0, 1, 0.95)],
    ['no difference', () => pairsForDifference({ difference: 0, sd: 1, alpha: 0.05, power: 0.9 })],
    ['power below alpha', () => pairsForEquivalence({ difference: 1, sd: 1, alpha: 0.05, power: 0.01 })],
  ])('%s is refused', (_what, act) => {
    expect(act).toThrow(refusal('bad-setting'));
  });
});
