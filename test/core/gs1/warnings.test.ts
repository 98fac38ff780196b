import { describe, expect, it } from '@jest/globals';
import { readBracketed, readScanned, readUnprefixed } from '../../../src/core/gs1/carriers.js';

const GS = '\u001d';
const GTIN = '0109521234543213';

function read(text: string) {
  const reading = readScanned(text, '2026-11-25');
  if (!reading.valid) {
    throw new Error(reading.error.message);
  }
  return reading;
}
const codes = (text: string) => read(text).warnings.map((w) => w.code);

describe('a lost separator is a warning, never a silent lot', () => {
  it('names what the lot seems to hold, and leaves the lot as it was read', () => {
    const reading = read(`]C1${GTIN}10EY2406A17270630`);
    expect(reading).toMatchObject({ lot: 'EY2406A17270630' });
    expect(reading.expiry).toBeUndefined();
    expect(reading.warnings).toEqual([
      {
        code: 'GS1_SEPARATOR_LOST',
        message:
          'lot (10) "EY2406A17270630" holds 17270630, which reads as expiry (17) 2027-06-30, and no expiry (17) was read: the separator after it may be lost. Compare with the print; it may be "EY2406A".',
      },
    ]);
  });

  it.each([
    [`${GTIN}21000421727063010A1`, 'serial that holds expiry and lot'],
    [`${GTIN}10A117270630${GS}2100042`, 'lot in the middle'],
    [`${GTIN}10A117270600`, 'day 00'],
    [`${GTIN}10A17270630`, 'the first place where it can begin'],
    [`${GTIN}10117172706301`, 'behind a place where it only seems to begin'],
    [`${GTIN}10A170032706301430`, 'expiry with time'],
    [`${GTIN}1727063010A111250101`, 'production date'],
    [`${GTIN}240CAT717270630`, 'additional number'],
    ['00006141411234567890400ORDER70109521234543213', 'order number that holds a GTIN'],
  ])('%s: %s', (data) => {
    expect(codes(`]d2${data}`)).toEqual(['GS1_SEPARATOR_LOST']);
  });

  it.each([
    [`${GTIN}1727063010A17270630`, 'expiry was read'],
    [`${GTIN}10A117271330`, 'month 13 is no date'],
    [`${GTIN}10A170032706302430`, 'hour 24 is no time'],
    ['00006141411234567890400ORDER70109521234543214', 'no GTIN by its check digit'],
    [`${GTIN}1017270630`, 'a lot cannot be empty'],
    [`${GTIN}10HX-7/25${GS}1727063021ABC`, 'nothing in it'],
  ])('%s gives none: %s', (data) => {
    expect(codes(`]d2${data}`)).toEqual([]);
  });

  it.each([
    [`${GTIN}1727063010EY2406A2100042`, ['GS1_SEPARATOR_DOUBTFUL']],
    [`${GTIN}172706302100042A10LOT7`, ['GS1_SEPARATOR_DOUBTFUL']],
    [`${GTIN}1727063010EY2406A2100042${GS}`, []],
    [`${GTIN}172706302142${GS}10EY2406A2100042`, []],
    [`${GTIN}1727063010EY24021`, []],
  ])('a serial in a lot is doubtful when the lot runs to the end: %j', (data, expected) => {
    expect(codes(`]d2${data}`)).toEqual(expected);
  });

  it('also asks of typed and unprefixed text', () => {
    expect(readBracketed('(01)09521234543213(10)EY2406A17270630', '2026-11-25')).toMatchObject({
      warnings: [{ code: 'GS1_SEPARATOR_LOST' }],
    });
    expect(readUnprefixed(`${GTIN}10EY2406A17270630`, '2026-11-25')).toMatchObject({
      warnings: [{ code: 'GS1_NO_SYMBOLOGY_IDENTIFIER' }, { code: 'GS1_SEPARATOR_LOST' }],
    });
  });
});

describe('dates', () => {
  it('takes day 00 as the month’s last day and says so', () => {
    const reading = read(`]d2${GTIN}17280200`);
    expect(reading).toMatchObject({
      expiry: '2028-02-29',
      expiryPrinted: { ai: '17', text: '280200', precision: 'month' },
      warnings: [{ code: 'GS1_DAY_ZERO', message: expect.stringContaining('2028-02-29') }],
    });
  });

  it('never takes (15) for (17)', () => {
    const reading = read(`]e0${GTIN}15270331`);
    expect(reading.expiry).toBeUndefined();
    expect(reading.warnings).toEqual([
      { code: 'GS1_BEST_BEFORE_ONLY', message: expect.stringContaining('2027-03-31') },
    ]);
    expect(codes(`]e0${GTIN}1527033117270630`)).toEqual([]);
  });

  it('takes (7003) as the laboratory’s wall clock', () => {
    expect(read(`]d2${GTIN}70032706301430${GS}10A1`)).toMatchObject({
      lot: 'A1',
      expiry: '2027-06-30T14:30',
      expiryPrinted: { ai: '7003', text: '2706301430', precision: 'minute' },
      warnings: [{ code: 'GS1_LOCAL_TIME' }],
    });
    expect(readScanned(`]d2${GTIN}70032706001430`, '2026-11-25')).toMatchObject({
      valid: false,
      error: { code: 'GS1_DATE', message: expect.stringContaining('day 00 is not allowed') },
    });
  });

  it.each([
    ['27063070032706301430', '2027-06-30T14:30', ['GS1_LOCAL_TIME']],
    ['27063070032707010000', '2027-06-30', ['GS1_LOCAL_TIME', 'GS1_TWO_EXPIRIES']],
    ['27063070032706292359', '2027-06-29T23:59', ['GS1_LOCAL_TIME', 'GS1_TWO_EXPIRIES']],
  ])('of two expiries the earlier holds: 17%s', (data, expiry, warnings) => {
    expect(read(`]d2${GTIN}17${data}`).expiry).toBe(expiry);
    expect(codes(`]d2${GTIN}17${data}`)).toEqual(warnings);
  });

  it('sees a production date after the expiry, and a year that is hardly meant', () => {
    expect(codes(`]d2${GTIN}112707011727063010A1`)).toEqual(['GS1_DATES_OUT_OF_ORDER']);
    expect(codes(`]d2${GTIN}1776063010A1`)).toEqual(['GS1_EXPIRY_FAR']);
    expect(codes(`]d2${GTIN}1746063010A1`)).toEqual([]);
    expect(codes(`]d2${GTIN}1747063010A1`)).toEqual(['GS1_EXPIRY_FAR']);
  });
});
