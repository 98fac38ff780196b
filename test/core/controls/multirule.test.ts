import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { judgeRuns, type ControlRun } from '../../../src/core/controls/multirule.js';
import { RULES, usualWeights } from '../../../src/core/controls/rules.js';

const LEVELS = ['L1', 'L2', 'L3'];
const all = usualWeights(RULES);
/** Near the limits, where it matters, and missing now and then. */
const z = fc.option(
  fc.integer({ min: -34, max: 34 }).map((tenth) => tenth / 10),
  { freq: 6 },
);
const series = (levels: number) => fc.array(fc.array(z, { minLength: levels, maxLength: levels }), { maxLength: 30 });
const runsOf = (rows: (number | null)[][], order: (length: number) => number[] = (n) => [...Array(n).keys()]) =>
  rows.map((row): ControlRun => ({
    observations: order(row.length).flatMap((i) => (row[i] == null ? [] : [{ level: LEVELS[i]!, z: row[i] }])),
  }));
const codes = (runs: ControlRun[], levels = LEVELS) =>
  judgeRuns(levels, runs, all).map(({ fired }) => fired.map(({ rule, levels: by }) => `${rule} ${by.join()}`));

// Semantics of Westgard et al., Clin Chem 1981;27:493-501, with the conventions stated in test/vectors/multirule.json.
describe('the rules', () => {
  it('do not depend on the order of levels inside a run', () => {
    fc.assert(
      fc.property(series(3), (rows) => {
        expect(codes(runsOf(rows, (n) => [...Array(n).keys()].reverse()))).toEqual(codes(runsOf(rows)));
      }),
    );
  });

  it('fire alike on both sides of the mean', () => {
    fc.assert(
      fc.property(series(2), (rows) => {
        const mirrored = rows.map((row) => row.map((value) => (value === null ? null : -value)));
        expect(codes(runsOf(mirrored), ['L1', 'L2'])).toEqual(codes(runsOf(rows), ['L1', 'L2']));
      }),
    );
  });

  it('look at nothing after the run that they judge', () => {
    fc.assert(
      fc.property(series(2), series(2), (rows, later) => {
        const both = codes(runsOf([...rows, ...later]), ['L1', 'L2']);
        expect(both.slice(0, rows.length)).toEqual(codes(runsOf(rows), ['L1', 'L2']));
      }),
    );
  });

  it('forget everything at a reset', () => {
    fc.assert(
      fc.property(series(2), series(2), (rows, later) => {
        const [first, ...rest] = runsOf(later);
        fc.pre(first !== undefined);
        const both = codes([...runsOf(rows), { ...first!, afterReset: true }, ...rest], ['L1', 'L2']);
        expect(both.slice(rows.length)).toEqual(codes(runsOf(later), ['L1', 'L2']));
      }),
    );
  });

  // The plain definitions, looked up in the whole history each time, are the witness.
  it('are what the definitions say within a level', () => {
    const plain: Record<string, (seen: number[]) => boolean> = {
      '1-2s': (seen) => Math.abs(seen.at(-1)!) > 2,
      '1-3s': (seen) => Math.abs(seen.at(-1)!) > 3,
      '2-2s-within': (seen) => sameSide(seen, 2, 2),
      '3-1s-within': (seen) => sameSide(seen, 3, 1),
      '4-1s-within': (seen) => sameSide(seen, 4, 1),
      '6x-within': (seen) => sameSide(seen, 6, 0),
      '8x-within': (seen) => sameSide(seen, 8, 0),
      '9x-within': (seen) => sameSide(seen, 9, 0),
      '10x-within': (seen) => sameSide(seen, 10, 0),
      '12x-within': (seen) => sameSide(seen, 12, 0),
      '2of3-2s-within': (seen) =>
        [1, -1].some((s) => s * seen.at(-1)! > 2 && seen.slice(-3).filter((v) => s * v > 2).length >= 2),
      '7T-within': (seen) =>
        seen.length >= 7 && [1, -1].some((s) => seen.slice(-7).every((v, i, w) => i === 0 || s * v > s * w[i - 1]!)),
    };
    const biased = fc.array(
      fc.integer({ min: -9, max: 34 }).map((tenth) => tenth / 10),
      { maxLength: 40 },
    );
    fc.assert(
      fc.property(biased, (values) => {
        const got = judgeRuns(['L1'], runsOf(values.map((v) => [v])), all).map(({ fired }) =>
          fired.map(({ rule }) => rule),
        );
        const expected = values.map((_, i) =>
          Object.keys(plain)
            .filter((rule) => plain[rule]!(values.slice(0, i + 1)))
            .sort(),
        );
        expect(got).toEqual(expected);
      }),
    );
  });

  // Conventions of test/vectors/multirule.json, "across": n/N whole runs, only where N divides n.
  it('go across two levels in two, three, four, five and six runs', () => {
    const level = (value: number, runs: number) => runsOf(Array.from({ length: runs }, () => [value, value]));
    const across = (runs: ControlRun[]) =>
      judgeRuns(['L1', 'L2'], runs, all)
        .at(-1)!
        .fired.map(({ rule }) => rule);
    expect(across(level(1.5, 2))).toContain('4-1s-across');
    for (const [runs, rule] of [
      [3, '6x'],
      [4, '8x'],
      [5, '10x'],
      [6, '12x'],
    ] as const) {
      expect(across(level(0.5, runs))).toContain(`${rule}-across`);
      expect(across(level(0.5, runs - 1))).not.toContain(`${rule}-across`);
    }
    expect(across(level(1.5, 12)).filter((rule) => /^(9x|3-1s)-across/.test(rule))).toEqual([]);
  });

  it('take a replicate as an observation of its own, but not as another level', () => {
    const twice = (a: number, b: number) => [
      {
        observations: [
          { level: 'L1', z: a },
          { level: 'L1', z: b },
        ],
      },
    ];
    expect(codes(twice(2.1, 2.2), ['L1', 'L2'])).toEqual([['1-2s L1', '2-2s-within L1', '2of3-2s-within L1']]);
    expect(codes(twice(2.5, -2.5), ['L1', 'L2'])).toEqual([['1-2s L1', 'R-4s-range L1']]);
  });
});

describe('the verdict', () => {
  const run = (...values: number[]) => runsOf([values]);

  it('follows the weights that a laboratory chose', () => {
    const verdict = (weights: object) => judgeRuns(['L1', 'L2'], run(2.8, -1.3), weights)[0]!.verdict;
    expect(verdict({ 'R-4s-range': 'reject' })).toBe('reject');
    expect(verdict({ 'R-4s-range': 'warn' })).toBe('warn');
    expect(verdict({ 'R-4s-range': 'note', '1-2s': 'note' })).toBe('accept');
    expect(verdict({})).toBe('accept');
  });

  it('of an empty run is to accept, and holds up what goes across', () => {
    expect(judgeRuns(['L1'], [{ observations: [] }], all)).toEqual([
      { fired: [], verdict: 'accept', gatedVerdict: 'accept' },
    ]);
  });

  it('is refused on an unknown level and on what is no number', () => {
    const judge = (level: string, value: number) => () =>
      judgeRuns(['L1'], [{ observations: [{ level, z: value }] }], all);
    expect(judge('L9', 0)).toThrow(expect.objectContaining({ code: 'unknown-level' }));
    expect(judge('L1', NaN)).toThrow(expect.objectContaining({ code: 'bad-result' }));
  });
});

function sameSide(seen: number[], count: number, beyond: number): boolean {
  const window = seen.slice(-count);
  return window.length === count && (window.every((v) => v > beyond) || window.every((v) => v < -beyond));
}
