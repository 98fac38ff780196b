import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import {
  cumulative,
  firstLimits,
  grubbs,
  meanInterval,
  newLotLimits,
  pooledSd,
  sdInterval,
  zScore,
} from '../../../src/core/controls/limits.js';
import { summarise } from '../../../src/core/statistics/sample.js';

interface Series {
  x: number[];
  n: number;
  mean: number;
  sd: number;
  mean_ci: number[];
  sd_ci: number[];
}
// Made with R 4.2.2, as the file says.
const { limitSetting } = JSON.parse(readFileSync(new URL('../../vectors/limits.json', import.meta.url), 'utf8')) as {
  limitSetting: {
    first20: Series;
    cumulative30: Series;
    new_lot_10_parallel: {
      x: number[];
      mean_new: number;
      sd_assigned: number;
      sd_pooled_within_lot: number;
      df: number;
    };
    sd_factor: { n: number; sd_ci_lower_factor: number; sd_ci_upper_factor: number }[];
    grubbs: { x: number[]; G: number; crit: number };
  };
};
const { first20, cumulative30, new_lot_10_parallel: newLot, sd_factor: sdFactors } = limitSetting;
const near = (expected: number) => expect.closeTo(expected, 9) as unknown as number;
const refusal = (code: string) => expect.objectContaining({ code });

describe('limits from the first results', () => {
  const dated = (days: number) => first20.x.map((x, i) => ({ x, day: `2026-11-${10 + (i % days)}` }));

  it('are those of R, and stand after 20 results on 20 days', () => {
    expect(firstLimits(dated(20))).toEqual({
      n: 20,
      mean: near(first20.mean),
      sd: near(first20.sd),
      provisional: false,
    });
  });

  it('are provisional from 20 results on 5 days, or from fewer results', () => {
    expect(firstLimits(dated(5)).provisional).toBe(true);
    expect(firstLimits(dated(20).slice(1)).provisional).toBe(true);
  });

  it('say how sure they are', () => {
    const summary = summarise(first20.x);
    expect(meanInterval(summary, 0.95)).toEqual(first20.mean_ci.map(near));
    expect(sdInterval(summary, 0.95)).toEqual(first20.sd_ci.map(near));
  });

  it.each(sdFactors)(
    'the SD of $n results is sure within known factors',
    ({ n, sd_ci_lower_factor, sd_ci_upper_factor }) => {
      expect(sdInterval({ n, mean: 0, sd: 1 }, 0.95)).toEqual([near(sd_ci_lower_factor), near(sd_ci_upper_factor)]);
    },
  );

  it('need two results that differ', () => {
    expect(() => firstLimits([{ x: 1, day: '2026-11-10' }])).toThrow(refusal('too-few'));
    expect(() => firstLimits([1, 1].map((x) => ({ x, day: '2026-11-10' })))).toThrow(refusal('no-spread'));
    expect(() => firstLimits([1, NaN].map((x) => ({ x, day: '2026-11-10' })))).toThrow(refusal('bad-result'));
  });
});

describe('cumulative limits', () => {
  it('from summaries are those of all results', () => {
    const blocks = [summarise(cumulative30.x.slice(0, 20)), summarise(cumulative30.x.slice(20))];
    expect(cumulative(blocks)).toEqual({ n: 30, mean: near(cumulative30.mean), sd: near(cumulative30.sd) });
    expect(() => cumulative([])).toThrow(refusal('too-few'));
  });

  it('do not depend on where the blocks were cut', () => {
    const results = fc.array(fc.double({ min: -1000, max: 1000, noNaN: true }), { minLength: 6, maxLength: 40 });
    fc.assert(
      fc.property(results, fc.integer({ min: 2, max: 4 }), (x, cut) => {
        const blocks = [summarise(x.slice(0, cut)), summarise(x.slice(cut))];
        const whole = summarise(x);
        expect(cumulative(blocks).mean).toBeCloseTo(whole.mean, 8);
        expect(cumulative(blocks).sd).toBeCloseTo(whole.sd, 8);
      }),
    );
  });
});

describe('a new control lot', () => {
  it('takes its own mean and the long-term coefficient of variation', () => {
    const old = summarise(cumulative30.x);
    expect(newLotLimits(old, newLot.x)).toEqual({
      n: 10,
      mean: near(newLot.mean_new),
      sd: near(newLot.sd_assigned),
      provisional: false,
    });
    expect(newLotLimits(old, newLot.x.slice(1)).provisional).toBe(true);
  });

  it('pools its imprecision with that of the old one', () => {
    expect(pooledSd([summarise(cumulative30.x), summarise(newLot.x)])).toEqual({
      sd: near(newLot.sd_pooled_within_lot),
      df: newLot.df,
    });
    expect(() => pooledSd([])).toThrow(refusal('too-few'));
  });

  it('refuses what has no coefficient of variation', () => {
    expect(() => newLotLimits({ mean: 0, sd: 1 }, [1])).toThrow(refusal('no-spread'));
    expect(() => newLotLimits({ mean: 1, sd: 0 }, [1])).toThrow(refusal('no-spread'));
    expect(() => newLotLimits({ mean: 1, sd: 1 }, [])).toThrow(refusal('too-few'));
  });
});

describe("Grubbs' test", () => {
  it('finds the outlier that R finds', () => {
    const { x, G, crit } = limitSetting.grubbs;
    expect(grubbs(x, 0.05)).toEqual({ index: 20, g: near(G), critical: near(crit), outlier: true });
  });

  // Critical values for one suspected outlier, two-sided at 0.05: LibreTexts Chemistry, Appendix 07.
  it.each([
    [3, 1.155],
    [5, 1.715],
    [10, 2.29],
    [15, 2.549],
  ])('has the tabled critical value for %d results', (n, critical) => {
    expect(
      grubbs(
        Array.from({ length: n }, (_, i) => i),
        0.05,
      ).critical,
    ).toBeCloseTo(critical, 2);
  });

  it('refuses too few and equal results', () => {
    expect(() => grubbs([1, 2], 0.05)).toThrow(refusal('too-few'));
    expect(() => grubbs([1, 1, 1], 0.05)).toThrow(refusal('no-spread'));
  });
});

describe('a z score', () => {
  it('is in standard deviations', () => {
    expect(zScore(105.1, { mean: 100, sd: 2.5 })).toBeCloseTo(2.04, 12);
  });

  it.each([0, -1, NaN, Infinity])('refuses an SD of %d', (sd) => {
    expect(() => zScore(1, { mean: 1, sd })).toThrow(refusal('no-spread'));
  });

  it('refuses a result that is no number', () => {
    expect(() => zScore(NaN, { mean: 1, sd: 1 })).toThrow(refusal('bad-result'));
  });
});
