import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computeAgreement, computeLotcompare, computeSamplesize } from '../../../src/core/study/case.js';
import { expectClose, type Json } from '../../support/close.js';

interface Vectors {
  cases: { id: string; what?: string; expected: Json }[];
}
const casesOf = (name: string) =>
  (JSON.parse(readFileSync(new URL(`../../vectors/${name}.json`, import.meta.url), 'utf8')) as Vectors).cases;

// Sources and making stand in the files, each with its tolerance.
const agreement = casesOf('agreement');
const lotcompare = casesOf('lotcompare');
const samplesize = casesOf('samplesize');

describe('the published cases', () => {
  it('are all here', () => {
    expect([agreement.length, lotcompare.length, samplesize.length]).toEqual([38, 9, 18]);
  });

  it.each(agreement)('agreement $id $what', ({ expected, ...given }) => {
    expectClose(computeAgreement(given), expected, { rel: 1e-9, abs: 1e-9 });
  });

  it.each(lotcompare)('lot comparison $id $what', ({ expected, ...given }) => {
    expectClose(computeLotcompare(given), expected, { rel: 1e-7, abs: 1e-9 });
  });

  it.each(samplesize)('sample size $id', ({ expected, ...given }) => {
    expect(computeSamplesize(given)).toEqual({ id: given.id, ...(expected as object) });
  });
});

describe('a case of a study that cannot be computed', () => {
  const pairs = { id: 'X', x: [1, 2, 3], y: [1, 3, 5] };
  const acceptance = { id: 'X', question: 'acceptance', confidenceOneSided: 0.95, claimAtLeast: 0.9 };
  const table = { bothPositive: 1, newPositiveOnly: 0, referencePositiveOnly: 0, bothNegative: 1 };

  it('is not one of these', () => {
    expect(computeLotcompare(pairs)).toMatchObject({ deming: [], equivalence: [], differences: { bias: -1 } });
    expect(computeSamplesize(acceptance)).toEqual({ id: 'X', nByFailures: [29, 46, 61, 76] });
    expect(computeAgreement({ id: 'X', table })).toMatchObject({ kappa: { kappa: 1 } });
  });

  it.each<[string, (input: unknown) => object, unknown, string]>([
    ['no table', computeAgreement, { id: 'X' }, 'table must be an object'],
    ['a count left out', computeAgreement, { id: 'X', table: { bothPositive: 1 } }, 'newPositiveOnly is missing'],
    ['a count too many', computeAgreement, { id: 'X', table: { ...table, unsure: 1 } }, 'unsure is not known'],
    ['half a case', computeAgreement, { id: 'X', table: { ...table, bothPositive: 0.5 } }, 'whole numbers'],
    ['a row that is no list', computeAgreement, { id: 'X', table: [[1, 2], 3] }, 'no row of table'],
    ['a text in a row', computeAgreement, { id: 'X', counts: [['2', 0]] }, 'no row of counts'],
    ['no results', computeLotcompare, { id: 'X' }, 'x is missing'],
    ['one pair', computeLotcompare, { id: 'X', x: [1], y: [1] }, 'at least 2 pairs'],
    ['one limit', computeLotcompare, { ...pairs, equivalenceLimits: [[1]] }, 'no pair of limits'],
    ['a limit that is no list', computeLotcompare, { ...pairs, equivalenceLimits: [3] }, 'no pair of limits'],
    ['a negative ratio', computeLotcompare, { ...pairs, varianceRatios: [-1] }, 'varianceRatios.0 is -1'],
    ['another question', computeSamplesize, { id: 'X', question: 'why' }, 'the questions are halfWidth and acceptance'],
    ['a claim of all', computeSamplesize, { ...acceptance, claimAtLeast: 1 }, 'claim of 0 or 1'],
  ])('%s is refused with what would be right', (_what, compute, input, message) => {
    expect(() => compute(input)).toThrow(expect.objectContaining({ message: expect.stringContaining(message) }));
  });
});
