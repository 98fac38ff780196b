import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computeLimits, computeMultirule } from '../../../src/core/controls/case.js';
import { expectClose, type Json } from '../../support/close.js';

interface Vectors {
  cases: { id: string; what: string; expected: Json }[];
}
const vectors = (name: string) =>
  JSON.parse(readFileSync(new URL(`../../vectors/${name}.json`, import.meta.url), 'utf8')) as Vectors;

// Source and making stand in the files: Westgard et al. 1981; Montgomery and the NIST/SEMATECH e-Handbook.
const multirule = vectors('multirule').cases;
const limits = vectors('limits').cases;

describe('the published cases', () => {
  it('are all here', () => {
    expect([multirule.length, limits.length]).toEqual([42, 2]);
  });

  it.each(multirule)('multirule $id $what', ({ expected, ...given }) => {
    expect(computeMultirule(given)).toMatchObject(expected as object);
  });

  // The file states its tolerance: 1e-8 relative, 1e-9 absolute.
  it.each(limits)('limits $id $what', ({ expected, ...given }) => {
    expectClose(computeLimits(given), expected, { rel: 1e-8, abs: 1e-9 });
  });
});

describe('a multirule case that cannot be computed', () => {
  const good = { id: 'X', rules: ['1-3s'], levels: [{ level: 'L1', z: ['3.2', null] }], resetBeforeRun: [2] };
  const level = (given: object) => ({ ...good, levels: [{ level: 'L1', ...given }], resetBeforeRun: [] });

  it('is not this one', () => {
    expect(computeMultirule(good).verdicts).toEqual(['reject', 'accept']);
  });

  it.each<[string, unknown, string]>([
    ['an unknown rule', { ...good, rules: ['1-9s'] }, '"1-9s" is no rule'],
    ['no level', { ...good, levels: [] }, 'each level must list every run'],
    ['no run', level({ z: [] }), 'each level must list every run'],
    ['a word', level({ z: ['high'] }), '"high" is no result'],
    ['an infinite value', level({ z: ['1e999'] }), '"1e999" is no result'],
    ['an empty text', level({ z: [''] }), '"" is no result'],
    ['an SD of zero', level({ mean: '5', sd: '0', x: ['5'] }), 'the SD is 0'],
    ['no SD', level({ mean: '5', x: ['5'] }), 'no result'],
    ['a reset after the last run', { ...good, resetBeforeRun: [3] }, 'a reset stands before run 3'],
    ['levels of unequal length', { ...good, levels: [...good.levels, { level: 'L2', z: ['1'] }] }, 'every run'],
    ['one level twice', { ...good, levels: [...good.levels, ...good.levels] }, 'named twice'],
  ])('%s is refused with what would be right', (_what, input, message) => {
    expect(() => computeMultirule(input)).toThrow(
      expect.objectContaining({ message: expect.stringContaining(message) }),
    );
  });
});

describe('a limits case that cannot be computed', () => {
  const good = { id: 'X', chart: 'individuals', x: [1, 2, 1, 2], calibration: 4 };

  it.each<[string, unknown, string]>([
    ['another chart', { ...good, chart: 'pie' }, 'give "individuals"'],
    ['a text among the results', { ...good, x: [1, '2'] }, 'x.1 is "2"'],
    ['a calibration of one', { ...good, calibration: 1 }, 'calibration takes 1'],
    ['a calibration of more than there are', { ...good, calibration: 5 }, 'calibration takes 5'],
    ['results without spread', { ...good, x: [2, 2, 2, 2] }, 'the SD is 0'],
  ])('%s is refused with what would be right', (_what, input, message) => {
    expect(() => computeLimits(input)).toThrow(expect.objectContaining({ message: expect.stringContaining(message) }));
  });
});
