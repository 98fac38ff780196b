/**
 * The check digit that belongs after these digits, for GTIN-8/12/13/14, SSCC and GLN alike: from the right, weights
 * 3, 1, 3, 1…, then what is missing to the next ten. Source: GS1 General Specifications, section 7.9.
 * `checkDigit('890400021003')` is '7'.
 */
export function checkDigit(digits: string): string {
  const sum = [...digits].reverse().reduce((total, digit, i) => total + Number(digit) * (i % 2 === 0 ? 3 : 1), 0);
  return String((10 - (sum % 10)) % 10);
}

/** Whether the last digit is the check digit of the others. `endsInCheckDigit('8904000210037')` is true. */
export function endsInCheckDigit(digits: string): boolean {
  return /^\d{2,}$/.test(digits) && checkDigit(digits.slice(0, -1)) === digits.slice(-1);
}

const CSET_82 = '!"%&\'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz';
const CSET_32 = '23456789ABCDEFGHJKLMNPQRSTUVWXYZ';
const PRIMES = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83];

/**
 * The check character pair that belongs after up to 23 characters of a Global Model Number: values in the order of
 * CSET 82, weighted from the right with the primes, modulo 1021, written in base 32. Source: GS1 General
 * Specifications, section 7.9. `checkPair('1987654Ad4X4bL5ttr2310c')` is '2K'.
 */
export function checkPair(characters: string): string {
  const sum =
    [...characters].reverse().reduce((total, c, i) => total + CSET_82.indexOf(c) * (PRIMES[i] ?? 0), 0) % 1021;
  return CSET_32.charAt(sum >> 5) + CSET_32.charAt(sum & 31);
}

/** Whether every character may stand in an alphanumeric value. Source: GS1 General Specifications, section 7.11 (CSET 82). */
export function isCset82(character: string): boolean {
  return CSET_82.includes(character);
}
