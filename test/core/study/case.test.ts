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
