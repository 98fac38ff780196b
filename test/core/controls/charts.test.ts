import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { cusum, ewma, individualsChart } from '../../../src/core/controls/charts.js';

interface NistEwma {
  x: number[];
  target: number;
  s: number;
  lambda: number;
  L: number;
  published: { ucl: number; lcl: number; z: number[] };
}
interface Rings {
  xbar_R: { center: number; sigma: number; xbar: number[] };
  ewma: { lambda: number; L: number; z: number[]; lcl: number[]; ucl: number[]; beyond: number[] };
  cusum: { k: number; h: number; cplus: number[]; cminus: number[]; beyond: number[] };
}
const { nistEwma, pistonRings } = JSON.parse(
  readFileSync(new URL('../../vectors/limits.json', import.meta.url), 'utf8'),
) as { nistEwma: NistEwma; pistonRings: Rings };
const near = (digits: number) => (expected: number) => expect.closeTo(expected, digits) as unknown as number;

// NIST/SEMATECH e-Handbook 6.3.2.2, flow rates: centre 50.81, limits 45.8159 and 55.8041 with d2 rounded to 1.128.
describe('the chart of individual results', () => {
  const flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

  it('gives the example of the handbook', () => {
    const chart = individualsChart(flow, 10);
    expect(chart).toMatchObject({ mean: near(10)(50.81), meanMovingRange: near(4)(1.8778), beyond: [] });
    // With the rounded constant, as published.
    const rounded = (3 * chart.meanMovingRange) / 1.128;
    expect([chart.mean - rounded, chart.mean + rounded]).toEqual([near(3)(45.8159), near(3)(55.8041)]);
    // D4 = 3.267, the customary table.
    expect(chart.movingRangeUcl / chart.meanMovingRange).toBeCloseTo(3.267, 3);
  });

  it('takes a result on the limit as within', () => {
    const { ucl } = individualsChart(flow, 10);
    expect(individualsChart([...flow, ucl, ucl + 1e-6], 10).beyond).toEqual([12]);
  });
});

describe('the EWMA chart', () => {
  // NIST/SEMATECH e-Handbook 6.3.2.4; its limits are those of the steady state, which the last of twenty has reached.
  it('gives the example of the handbook', () => {
    const { x, target, s, lambda, L, published } = nistEwma;
    const chart = ewma(x, { mean: target, sd: s }, { lambda, L });
    expect(chart.z.map((z) => Math.abs(z - published.z[chart.z.indexOf(z)]!) < 0.0051)).not.toContain(false);
    expect([chart.lcl.at(-1), chart.ucl.at(-1)]).toEqual([near(3)(published.lcl), near(3)(published.ucl)]);
    expect(chart.beyond).toEqual([]);
  });

  // Montgomery's piston rings, means of five: the shift at the end is seen at samples 37 to 40.
  it('sees the shift of the piston rings', () => {
    const { xbar_R: rings, ewma: expected } = pistonRings;
    const target = { mean: rings.center, sd: rings.sigma / Math.sqrt(5) };
    const chart = ewma(rings.xbar, target, { lambda: expected.lambda, L: expected.L });
    expect(chart).toEqual({
      z: expected.z.map(near(9)),
      lcl: expected.lcl.map(near(9)),
      ucl: expected.ucl.map(near(9)),
      beyond: [37, 38, 39, 40],
    });
  });

  it('with lambda 1 is the chart of the results themselves', () => {
    expect(ewma([1, 4], { mean: 0, sd: 1 }, { lambda: 1, L: 3 })).toEqual({
      z: [1, 4],
      lcl: [-3, -3],
      ucl: [3, 3],
      beyond: [2],
    });
  });

  it.each([0, -0.1, 1.1, NaN])('refuses a lambda of %d', (lambda) => {
    expect(() => ewma([1], { mean: 0, sd: 1 }, { lambda, L: 3 })).toThrow(
      expect.objectContaining({ code: 'bad-setting' }),
    );
  });
});

describe('the CUSUM chart', () => {
  it('sees the shift of the piston rings two samples earlier', () => {
    const { xbar_R: rings, cusum: expected } = pistonRings;
    const target = { mean: rings.center, sd: rings.sigma / Math.sqrt(5) };
    const chart = cusum(rings.xbar, target, { k: expected.k, h: expected.h });
    expect(chart).toEqual({
      above: expected.cplus.map(near(6)),
      below: expected.cminus.map(near(6)),
      beyond: [35, 36, 37, 38, 39, 40],
    });
  });

  // Montgomery: the fast initial response starts both sums at h/2.
  it('may start half way to its alarm', () => {
    expect(cusum([1], { mean: 0, sd: 1 }, { k: 0.5, h: 4, start: 2 })).toEqual({
      above: [2.5],
      below: [0.5],
      beyond: [],
    });
  });

  it('refuses an alarm at nothing and limits without spread', () => {
    expect(() => cusum([1], { mean: 0, sd: 1 }, { k: 0.5, h: 0 })).toThrow(
      expect.objectContaining({ code: 'bad-setting' }),
    );
    expect(() => cusum([1], { mean: 0, sd: 0 }, { k: 0.5, h: 4 })).toThrow(
      expect.objectContaining({ code: 'no-spread' }),
    );
  });
});
