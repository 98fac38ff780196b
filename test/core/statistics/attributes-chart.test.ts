import { describe, expect, it } from '@jest/globals';
import { pChart, uChart } from '../../../src/core/statistics/attributes-chart.js';

describe('Charts of counts', () => {
  // NIST/SEMATECH e-Handbook 6.3.3.2, misregistered chips of 50 on each of 30 wafers: centre .2313, limits .05 and .41, wafers
  // 15 and 23 beyond; to four digits in Montgomery, Introduction to Statistical Quality Control. Counts from memory.
  const CHIPS = [
    12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6,
  ];
  // NIST/SEMATECH e-Handbook 6.3.3.1, defects on 25 wafers: centre 16, limits 4 and 28, wafer 24 beyond. Counts from memory.
  const DEFECTS = [16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31, 13];
  // Montgomery, dyed cloth: defects and units inspected of ten rolls; centre 1.42; of 10 units the limits are 0.29 and 2.55.
  // From memory.
  const ROLLS = [
    [14, 10],
    [12, 8],
    [20, 13],
    [11, 10],
    [7, 9.5],
    [10, 10],
    [21, 12],
    [16, 10.5],
    [19, 12],
    [23, 12.5],
  ] as const;
  const beyond = ({ points }: ReturnType<typeof pChart>): number[] =>
    points.flatMap((point, n) => (point.beyond ? [n + 1] : []));

  it('of a proportion are as in the handbook', () => {
    const chart = pChart(CHIPS.map((count) => ({ count, size: 50 })));
    expect(chart.centre).toBeCloseTo(0.2313, 4);
    expect(chart.points[0]?.lcl).toBeCloseTo(0.0524, 4);
    expect(chart.points[0]?.ucl).toBeCloseTo(0.4102, 4);
    expect(beyond(chart)).toEqual([15, 23]);
  });

  it('of counts per unit are as in the handbook, with one unit each and with units that differ', () => {
    const wafers = uChart(DEFECTS.map((count) => ({ count, size: 1 })));
    expect([wafers.centre, wafers.points[0]?.lcl, wafers.points[0]?.ucl]).toEqual([16, 4, 28]);
    expect(beyond(wafers)).toEqual([24]);
    const rolls = uChart(ROLLS.map(([count, size]) => ({ count, size })));
    expect(rolls.centre).toBeCloseTo(1.42, 2);
    expect(rolls.points[0]?.lcl).toBeCloseTo(0.29, 2);
    expect(rolls.points[0]?.ucl).toBeCloseTo(2.555, 3);
    expect(beyond(rolls)).toEqual([]);
  });

  it('say where there is nothing to count in, where limits are rough, and keep to what can be', () => {
    const chart = pChart([
      { count: 0, size: 0 },
      { count: 9, size: 10 },
      { count: 40, size: 40 },
    ]);
    expect(chart.points.map(({ value, ucl, sparse }) => [value, ucl <= 1, sparse])).toEqual([
      [null, true, true],
      [0.9, true, true],
      [1, true, true],
    ]);
    expect(uChart([{ count: 0, size: 100 }]).points[0]).toMatchObject({ value: 0, lcl: 0, ucl: 0, beyond: false });
  });

  it.each([
    [pChart, [{ count: 3, size: 2 }], 'a part cannot be more'],
    [pChart, [], 'no unit in any sample'],
    [uChart, [{ count: 1, size: 0 }], 'a count is a whole number'],
    [uChart, [{ count: -1, size: 5 }], 'a count is a whole number'],
    [uChart, [{ count: 1, size: Number.NaN }], 'a count is a whole number'],
  ])('refuse what cannot be counted (%#)', (chart, samples, message) => {
    expect(() => chart(samples)).toThrow(message);
  });
});
