import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { classifyDemand, learntLeadTime, spreadOf } from '../../../src/core/stock/demand.js';
import { accuracy, holt, holtWinters, seasonForecast, seasonStart, smooth } from '../../../src/core/stock/forecast.js';
import { croston, sba, sbj, tsb } from '../../../src/core/stock/intermittent.js';
import { miss, published } from './published.js';

interface Smoothing {
  kind: string;
  series: string;
  x: number[];
  alpha: number;
  beta: number;
  gamma: number;
  period: number;
  l0: number;
  b0: number;
  s0: number[];
  onestep: number[];
  onestep_first12: number[];
  forecast12: number[];
  forecast: number & number[];
  sse: number;
  level: number;
  trend: number;
}

interface Intermittent {
  series: string;
  x: number[];
  alpha: number;
  result: {
    size: number;
    interval: number;
    croston: number;
    sba: number;
    sbj: number;
    forecast_after_each_period: (number | null)[];
  };
  r_forecast_package: number;
  tsb: {
    alpha_size: number;
    beta_probability: number;
    p0: number;
    z0: number;
    probability: number;
    size: number;
    forecast: number;
    forecast_after_each_period: number[];
  };
  ADI_periods_over_demands: number;
  CV2_sample: number | null;
  class_adi_1_32_cv2_0_49: string;
}

const { smoothing, intermittent } = published<{ smoothing: Smoothing[]; intermittent: Intermittent[] }>(
  'more-forecast',
);
const of = (kind: string) => smoothing.filter((row) => row.kind.startsWith(kind));
const sse = (actual: number[], forecasts: number[]) =>
  actual.reduce((sum, x, index) => sum + (x - forecasts[index]!) ** 2, 0);

it('all published smoothing and intermittent examples are here', () => {
  expect([smoothing.length, intermittent.length]).toEqual([17, 12]);
});

describe('simple exponential smoothing', () => {
  it.each(of('SES').filter(({ onestep }) => onestep))('of $series with alpha $alpha', (row) => {
    const forecasts = row.onestep.map((_, index) => smooth(row.x.slice(0, index + 1), row.alpha));
    forecasts.forEach((value, index) => expect(miss(value, row.onestep[index]!)).toBeLessThan(1e-8));
    expect(miss(smooth(row.x, row.alpha), row.forecast)).toBeLessThan(1e-8);
    expect(miss(sse(row.x.slice(1), forecasts), row.sse)).toBeLessThan(1e-8);
  });

  // The level fitted by maximum likelihood stands for the first value.
  it.each(of('SES optimised'))('of $series from a fitted start', (row) => {
    expect(miss(smooth([row.l0, ...row.x], row.alpha), row.forecast)).toBeLessThan(1e-8);
  });
});

describe("Holt's method", () => {
  it.each(of('Holt').filter(({ kind }) => kind === 'Holt'))('on $series with $alpha and $beta', (row) => {
    const ahead = (history: number[]) => {
      const { level, trend } = holt(history, row);
      return level + trend;
    };
    const forecasts = row.onestep.map((_, index) => ahead(row.x.slice(0, index + 2)));
    forecasts.forEach((value, index) => expect(miss(value, row.onestep[index]!)).toBeLessThan(1e-8));
    const state = holt(row.x, row);
    expect(miss(state.level, row.level)).toBeLessThan(1e-8);
    expect(miss(state.trend, row.trend)).toBeLessThan(1e-8);
    row.forecast.forEach((value: number, index: number) =>
      expect(miss(state.level + (index + 1) * state.trend, value)).toBeLessThan(1e-8),
    );
    expect(miss(sse(row.x.slice(2), forecasts), row.sse)).toBeLessThan(1e-8);
    const again = holt(row.x.slice(2), row, { level: row.l0, trend: row.b0 });
    expect(again).toEqual(state);
  });

  it('follows a straight line without error', () => {
    const line = fc.tuple(
      fc.integer({ min: 0, max: 50 }),
      fc.integer({ min: 0, max: 9 }),
      fc.integer({ min: 2, max: 40 }),
    );
    fc.assert(
      fc.property(line, ([from, step, n]) => {
        const { level, trend } = holt(
          Array.from({ length: n }, (_, i) => from + i * step),
          { alpha: 0.3, beta: 0.2 },
        );
        expect(level + trend).toBeCloseTo(from + n * step, 8);
      }),
    );
  });

  it('needs two periods', () => {
    expect(() => holt([3], { alpha: 0.1, beta: 0.1 })).toThrow(/at least two periods/);
  });
});

describe('the Holt-Winters method', () => {
  it.each(of('Holt-Winters'))('$kind on $series', (row) => {
    const form = row.kind.endsWith('additive') ? 'additive' : 'multiplicative';
    const weights = { alpha: row.alpha, beta: row.beta, gamma: row.gamma, form } as const;
    const start = seasonStart(row.x, row.period, form);
    expect(miss(start.level, row.l0)).toBeLessThan(1e-12);
    expect(miss(start.trend, row.b0)).toBeLessThan(1e-12);
    start.seasonals.forEach((value, index) => expect(miss(value, row.s0[index]!)).toBeLessThan(1e-12));
    const later = row.x.slice(row.period);
    const next = (known: number) => {
      const state = known === 0 ? start : holtWinters(later.slice(0, known), weights, start);
      return seasonForecast(state, form, 1)[0]!;
    };
    const forecasts = later.map((_, known) => next(known));
    row.onestep_first12.forEach((value, index) => expect(miss(forecasts[index]!, value)).toBeLessThan(1e-8));
    expect(miss(sse(later, forecasts), row.sse)).toBeLessThan(1e-8);
    const end = holtWinters(later, weights, start);
    expect(miss(end.level, row.level)).toBeLessThan(1e-8);
    expect(miss(end.trend, row.trend)).toBeLessThan(1e-8);
    seasonForecast(end, form, 12).forEach((value, index) =>
      expect(miss(value, row.forecast12[index]!)).toBeLessThan(1e-8),
    );
  });

  it('needs two whole seasons', () => {
    expect(() => seasonStart([1, 2, 3, 4, 5], 3, 'additive')).toThrow(/5 periods do not hold two seasons of 3/);
  });
});

describe('intermittent demand', () => {
  it.each(intermittent)('$series with alpha $alpha', ({ x, alpha, result, r_forecast_package, ...row }) => {
    const state = croston(x, alpha);
    expect(miss(state.size, result.size)).toBeLessThan(1e-8);
    expect(miss(state.interval, result.interval)).toBeLessThan(1e-8);
    expect(miss(state.forecast, result.croston)).toBeLessThan(1e-8);
    expect(miss(state.forecast, r_forecast_package)).toBeLessThan(1e-8);
    expect(miss(sba(x, alpha), result.sba)).toBeLessThan(1e-8);
    expect(miss(sbj(x, alpha), result.sbj)).toBeLessThan(1e-8);
    result.forecast_after_each_period.forEach((value, index) =>
      expect(miss(croston(x.slice(0, index + 1), alpha).forecast, value ?? 0)).toBeLessThan(1e-8),
    );
    const weights = { alpha: row.tsb.alpha_size, beta: row.tsb.beta_probability };
    const start = { probability: row.tsb.p0, size: row.tsb.z0 };
    row.tsb.forecast_after_each_period.forEach((value, index) =>
      expect(miss(tsb(x.slice(0, index + 1), weights, start).forecast, value)).toBeLessThan(1e-8),
    );
    const end = tsb(x, weights, start);
    expect(miss(end.probability, row.tsb.probability)).toBeLessThan(1e-8);
    expect(miss(end.size, row.tsb.size)).toBeLessThan(1e-8);
    expect(miss(end.forecast, row.tsb.forecast)).toBeLessThan(1e-8);
    const pattern = classifyDemand(x);
    expect(miss(pattern.adi!, row.ADI_periods_over_demands)).toBeLessThan(1e-8);
    expect(miss(pattern.cv2!, row.CV2_sample ?? 0)).toBeLessThan(1e-8);
    expect(pattern.class).toBe(row.class_adi_1_32_cv2_0_49);
  });

  // Hyndman and Athanasopoulos, Forecasting: Principles and Practice, 2nd ed., section 12.2.
  it('has the published forecast of 0.985', () => {
    const { x, alpha } = intermittent.find(({ series, alpha }) => series === 'productC' && alpha === 0.1)!;
    expect(croston(x, alpha).forecast).toBeCloseTo(0.985, 3);
  });

  it('that has died is forgotten by TSB and not by Croston', () => {
    const dead = [5, 0, 5, ...Array<number>(200).fill(0)];
    expect(tsb(dead, { alpha: 0.1, beta: 0.1 }).forecast).toBeLessThan(1e-6);
    expect(croston(dead, 0.1).forecast).toBeGreaterThan(2);
  });

  it('that never was is forecast as nothing', () => {
    expect(classifyDemand([0, 0])).toEqual({ adi: null, cv2: null, class: null });
    expect([croston([0, 0], 0.1).forecast, sba([0, 0], 0.1), tsb([0, 0], { alpha: 0.1, beta: 0.1 }).forecast]).toEqual([
      0, 0, 0,
    ]);
  });

  it('of one size in every period is forecast as that size', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 999 }), fc.integer({ min: 1, max: 60 }), (size, n) => {
        const history = Array<number>(n).fill(size);
        for (const forecast of [
          smooth(history, 0.2),
          croston(history, 0.2).forecast,
          tsb(history, { alpha: 0.2, beta: 0.3 }).forecast,
        ]) {
          expect(forecast).toBeCloseTo(size, 9);
        }
      }),
    );
  });
});

describe('accuracy', () => {
  // Hyndman and Koehler 2006: scaled by the mean step of the history, here (2 + 2) / 2.
  it('is scaled by the steps of the history', () => {
    expect(accuracy([5, 9], [6, 6], [1, 3, 5])).toEqual({ mae: 2, mase: 1 });
    expect(accuracy([5], [6], [3, 3])).toEqual({ mae: 1, mase: null });
  });

  it('needs as many forecasts as periods', () => {
    expect(() => accuracy([1, 2], [1], [1])).toThrow(/1 forecasts cannot be held against 2 periods/);
  });
});

describe('lead time', () => {
  const stated = { mean: 14, sd: 0 };

  it('is learnt once three orders have come', () => {
    expect(learntLeadTime([9, 30], stated)).toBe(stated);
    expect(learntLeadTime([9, 10, 11], stated)).toEqual({ mean: 10, sd: 1 });
  });

  it('has no spread without an observation', () => {
    expect(() => spreadOf([])).toThrow(/no observations/);
    expect(spreadOf([7])).toEqual({ mean: 7, sd: 0 });
  });
});
