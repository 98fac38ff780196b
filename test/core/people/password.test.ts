import { describe, expect, it } from '@jest/globals';
import { PASSWORD_MAX, PASSWORD_MIN, passwordFault, passwordForm } from '../../../src/core/people/password.js';

describe('A new password', () => {
  // NIST SP 800-63B-3 section 5.1.1.2 (from memory): at least 8 characters, at least 64 permitted, all printing ASCII,
  // space and Unicode accepted, each code point one character, no rules of composition.
  it('has bounds that NIST SP 800-63B-3 permits', () => {
    expect(PASSWORD_MIN).toBeGreaterThanOrEqual(8);
    expect(PASSWORD_MAX).toBeGreaterThanOrEqual(64);
  });

  it.each([
    ['four plain words', 'heather kelp lantern dune'],
    ['no capitals, digits or signs', 'quietlanternsdrift'],
    ['sixty-four characters', 'kelp and heather '.repeat(4).slice(0, 64)],
    ['characters outside of ASCII', 'Über sieben Brücken'],
    ['characters outside of the basic plane, each counted once', '𐐷𐐨𐐯𐐰𐐱𐐲𐐩𐐪𐐫𐐬𐐭𐐮'],
  ])('may have %s', (_, password) => {
    expect(passwordFault(password, 'brindle')).toBeNull();
  });

  it.each([
    ['that is too short', 'kelp-lantern', null],
    ['that is too short', 'kelp lantem', 'it has 11 characters'],
    ['of eleven characters that take two code units each', '𐐷𐐨𐐯𐐰𐐱𐐲𐐩𐐪𐐫𐐬𐐭', 'it has 11 characters'],
    ['that is too long', 'kelp'.repeat(65), 'it has 260 characters'],
    ['of repeated characters', 'abababababab', 'repeats'],
    ['that counts up', 'abcdefghijklm', 'sequence'],
    ['that counts down', '9876543210987654', 'sequence'],
    ['that is the login and little else', 'brindle.ashe1', 'the login'],
    ['that guessers try first', 'Password1234', '"password"'],
    ['that names the program', 'Stainwright1', '"stainwright"'],
  ])('%s is judged: %s', (_, password, fault) => {
    const told = passwordFault(password, 'brindle.ashe');
    if (fault === null) expect(told).toBeNull();
    else expect(told).toContain(fault);
  });

  // Unicode Standard Annex 15: NFKC makes the ligature U+FB01 'fi', and composes e with U+0301.
  it('is the same from two keyboards', () => {
    expect(passwordForm('\ufb01ne')).toBe('fine');
    expect(passwordForm('cafe\u0301')).toBe(passwordForm('caf\u00e9'));
  });
});
