import { describe, expect, it } from '@jest/globals';
import { actWords } from '../../../src/core/ask/act-words.js';
import { drawSample } from '../../../src/core/ask/sample.js';
import { COUNT_NAMES, countedOf, type CountName } from '../../../src/core/ask/topics.js';
import { REQUIREMENTS } from '../../../src/core/requirements/all.js';
import { proofState } from '../../../src/core/requirements/requirement.js';

describe('A sample', () => {
  // The sums, by `printf '%s' 'seed:a' | sha256sum` of GNU coreutils: a 30558342…, b e3620cd0…, c e1c7f5d0….
  it('is what coreutils draw', () => {
    expect(drawSample(['a', 'b', 'c'], 3, 'seed')).toEqual(['a', 'c', 'b']);
    expect(drawSample(['c', 'b', 'a'], 2, 'seed')).toEqual(['a', 'c']);
  });

  it('is all there is when there is less, nothing of nothing, and another by another seed', () => {
    expect(drawSample(['a', 'b'], 5, 'x')).toHaveLength(2);
    expect(drawSample([], 5, 'x')).toEqual([]);
    const ids = Array.from({ length: 100 }, (_, n) => `id-${n}`);
    expect(drawSample(ids, 10, 'one')).not.toEqual(drawSample(ids, 10, 'two'));
  });
});

describe('An act in words', () => {
  it.each([
    ['run.step-ended', { step: 'into-fixative' }, 'Run: step ended, into fixative'],
    ['lot.received', { reagent: 'xylene', number: 'TW-1' }, 'Lot: received, xylene'],
    ['run.corrected', { event: 'x', reason: 'wrong key' }, 'Run: corrected, wrong key'],
    ['run.noted', { text: 'Quillan Testperson' }, 'Run: noted'],
    ['notice.seen', {}, 'Notice: seen'],
  ])('%s with %j is %s', (act, data, words) => expect(actWords(act, data)).toBe(words));
});

describe('Counts', () => {
  it('stand beside what they are a part of, none of which is smaller', () => {
    const counts = Object.fromEntries(COUNT_NAMES.map((name, n) => [name, n])) as Record<CountName, number>;
    const exceptions = countedOf(counts).find(({ what }) => what === 'releases by exception');
    expect(exceptions?.of).toEqual({ what: 'releases', count: counts.releases });
    const whole = countedOf(counts).filter(({ of }) => of === null);
    expect(whole.map(({ what }) => what)).toEqual([
      'all runs of the period',
      'specimens and slides',
      'bench entries',
      'control readings',
      'releases',
    ]);
  });
});

describe('Requirements', () => {
  it('have ids and clauses of their own, and plain clauses of the rules', () => {
    const ids = REQUIREMENTS.map(({ id }) => id);
    const clauses = REQUIREMENTS.map(({ clause }) => clause);
    expect([new Set(ids).size, new Set(clauses).size]).toEqual([ids.length, ids.length]);
    for (const clause of clauses) expect(clause).toMatch(/^((42 CFR 493\.1|21 CFR 11\.|ISO 15189:2022 )\d|ASCO-CAP )/);
  });

  it.each([
    [0, 0, 'no record'],
    [4, 0, 'proven'],
    [4, 1, 'gaps'],
  ])('with %d records and %d gaps stand at %s', (records, gaps, state) => {
    expect(proofState(records, gaps)).toBe(state);
  });
});
