import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { fullYear, isCalendarDate, readDate } from '../../../src/core/gs1/dates.js';

describe('century, GS1 General Specifications 7.12', () => {
  // Source: the section's rule, "49 years back to 50 years ahead", and the thresholds of the GS1 Barcode Syntax Dictionary.
  it.each([
    [2026, 0, 2000],
    [2026, 76, 2076],
    [2026, 99, 1999],
    [2026, 77, 1977],
    [2024, 74, 2074],
    [2024, 75, 1975],
    [2051, 0, 2100],
    [2051, 1, 2101],
    [2060, 10, 2110],
    [2060, 11, 2011],
    [2099, 49, 2149],
    [2099, 50, 2050],
    [1999, 49, 2049],
    [1999, 50, 1950],
  ])('in %i, %i is %i', (now, yy, year) => {
    expect(fullYear(yy, `${now}-06-15`)).toBe(year);
  });

  it('never lies more than 49 years back or 50 ahead', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1950, max: 2199 }), fc.integer({ min: 0, max: 99 }), (now, yy) => {
        const year = fullYear(yy, `${now}-01-01`);
        expect(year % 100).toBe(yy);
        expect(year - now).toBeGreaterThanOrEqual(-49);
        expect(year - now).toBeLessThanOrEqual(50);
      }),
    );
  });
});

describe('YYMMDD', () => {
  // Source: tests of the date rule in the GS1 Barcode Syntax Dictionary.
  it.each(['200131', '200229', '210228', '240229', '000229'])('%s is a date', (text) => {
    expect(readDate(text, '2026-11-25')).toMatchObject({ precision: 'day' });
  });
  it.each([
    ['200132', /day 32.*31 days/],
    ['200230', /day 30.*29 days/],
    ['210229', /day 29.*28 days/],
    ['240230', /day 30.*29 days/],
    ['200010', /month 00.*01 to 12/],
    ['201310', /month 13.*01 to 12/],
    ['20010', /six digits/],
  ])('%s is none, and it says why', (text, why) => {
    expect(readDate(text, '2026-11-25')).toMatch(why);
  });

  // Source: GS1 General Specifications 3.4, its own examples.
  it.each([
    ['130200', '2013-02-28'],
    ['160200', '2016-02-29'],
  ])('day 00 in %s is the last of the month, %s', (text, date) => {
    expect(readDate(text, '2026-11-25')).toEqual({ date, precision: 'month' });
  });

  it('reads back every date that it can encode', () => {
    const days = fc.date({ min: new Date('1977-01-01'), max: new Date('2076-12-31'), noInvalidDate: true });
    fc.assert(
      fc.property(days, (day) => {
        const iso = day.toISOString().slice(0, 10);
        expect(isCalendarDate(iso)).toBe(true);
        expect(readDate(iso.replaceAll('-', '').slice(2), '2026-11-25')).toEqual({ date: iso, precision: 'day' });
      }),
    );
  });

  it.each(['2027-02-29', '2027-00-10', '2027-1-1', '27-01-01', '2027-01-00', ''])(
    '"%s" is no calendar date',
    (text) => {
      expect(isCalendarDate(text)).toBe(false);
    },
  );
});
