import { describe, expect, it } from '@jest/globals';
import { readNumbersAs, typedNumber } from '../../src/web/parts/typed-number.js';

describe('A number as a person types it', () => {
  // Decimal and grouping marks of the languages: Unicode CLDR 48, main numbers.
  it.each([
    ['3,8', 'en-US', 3.8],
    ['3.8', 'de-DE', 3.8],
    [' 12.50 ', 'en-US', 12.5],
    ['-4,5', 'de-DE', -4.5],
    ['−4.5', 'en-US', -4.5],
    ['+5', 'en-US', 5],
    ['0', 'en-US', 0],
    ['0,125', 'en-US', 0.125],
    ['0.125', 'de-DE', 0.125],
    ['1.500', 'en-US', 1.5],
    ['1,500', 'de-DE', 1.5],
    ['1234,567', 'en-US', 1234.567],
  ])('is read: %s in %s is %d', (text, locale, value) => {
    expect(typedNumber(text, locale)).toBe(value);
  });

  it.each([
    ['1,500', 'en-US'],
    ['1.500', 'de-DE'],
    ['12,000', 'en-US'],
  ])('is refused where it may be a thousand or a few: %s in %s', (text, locale) => {
    expect(typedNumber(text, locale)).toBeNaN();
  });

  it('is read in the way that the device was given, whatever its browser has', () => {
    readNumbersAs('de-DE');
    expect([typedNumber('1,500'), typedNumber('1.500')]).toEqual([1.5, Number.NaN]);
    readNumbersAs('en-GB');
    expect([typedNumber('1,500'), typedNumber('1.500')]).toEqual([Number.NaN, 1.5]);
    readNumbersAs(undefined);
  });

  it.each(['', ' ', '1,234.5', '1 500', '1e3', '3.8 g', '.5', '5.', 'soon', 'Infinity'])('is none: "%s"', (text) => {
    expect(typedNumber(text, 'en-US')).toBeNaN();
  });
});
