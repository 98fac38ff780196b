import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { checkDigit, checkPair, endsInCheckDigit } from '../../../src/core/gs1/check-digit.js';

describe('check digit, GS1 General Specifications 7.9', () => {
  it.each([
    // Source: worked example of GS1 India, gs1india.org/SERV/checkdgt.htm.
    ['890400021003', '7'],
    // Source: gs1.org check digit calculator; full number from memory.
    ['629104150021', '3'],
    // Constructed by the rule, computed by hand: sum 77.
    ['0952123454321', '3'],
    ['1952123454321', '0'],
    ['00614141123456789', '0'],
  ])('of %s is %s', (digits, check) => {
    expect(checkDigit(digits)).toBe(check);
    expect(endsInCheckDigit(digits + check)).toBe(true);
  });

  // Source: GS1 Barcode Syntax Dictionary, tests of its check digit rule.
  it.each(['02345673', '416000336108', '1234567890128', '12345678901231', '123456789012345675'])(
    '%s fits',
    (digits) => {
      expect(endsInCheckDigit(digits)).toBe(true);
    },
  );
  it.each(['12345673', '416000336109', '1234567890129', '12345678901232', '123456789012345670', '0', '', '12a5'])(
    '"%s" does not fit',
    (digits) => {
      expect(endsInCheckDigit(digits)).toBe(false);
    },
  );

  it('finds every single wrong digit, as weights 1 and 3 are prime to 10', () => {
    const digits = fc.stringMatching(/^\d{7,17}$/);
    fc.assert(
      fc.property(digits, fc.nat(), fc.integer({ min: 1, max: 9 }), (body, place, change) => {
        const whole = body + checkDigit(body);
        const i = place % whole.length;
        const wrong = whole.slice(0, i) + ((Number(whole[i]) + change) % 10) + whole.slice(i + 1);
        expect(endsInCheckDigit(wrong)).toBe(false);
      }),
    );
  });
});

describe('check character pair, GS1 General Specifications 7.9', () => {
  // Source: the Global Model Number of the GS1 General Specifications' worked example, from memory.
  it('of 1987654Ad4X4bL5ttr2310c is 2K', () => {
    expect(checkPair('1987654Ad4X4bL5ttr2310c')).toBe('2K');
  });
});
