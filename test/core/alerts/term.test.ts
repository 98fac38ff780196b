import { describe, expect, it } from '@jest/globals';
import { type Term, termEntry, termMatter } from '../../../src/core/alerts/term.js';

const term: Term = {
  kind: 'calibration',
  id: 'i1',
  name: 'Bath thermometer (TH-04)',
  until: '2026-12-25T00:00:00.000Z',
  path: '/controls/instruments',
};

// 30 days: common practice, no source.
describe('A term that ends', () => {
  it.each([
    ['2026-11-24T23:59:59.999Z', null],
    ['2026-11-25T00:00:00.000Z', /the term ends at/],
    ['2026-12-25T00:00:00.000Z', /the term ended at/],
  ])('is told of at %s', (now, text) => {
    const matter = termMatter(term, now);
    if (text === null) expect(matter).toBeNull();
    else expect(matter?.text).toMatch(text);
  });

  it('is another matter once it was renewed', () => {
    const now = '2027-12-20T00:00:00.000Z';
    const renewed = { ...term, until: '2027-12-25T00:00:00.000Z' };
    expect(termMatter(term, now)?.key).not.toBe(termMatter(renewed, now)?.key);
  });

  it('stands in the calendar at its end', () => {
    expect(termEntry(term)).toMatchObject({ key: 'term:calibration:i1', at: term.until });
  });
});
