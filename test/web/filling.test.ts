import { describe, expect, it } from '@jest/globals';
import type { WorksheetLine } from '../../src/web/api.paths.js';
import { typedNumber } from '../../src/web/parts/typed-number.js';
import { amountText } from '../../src/web/recipes/amounts.js';
import { isOff, linesOf, missingLines, readingsOf } from '../../src/web/recipes/filling.js';

const line = (changes: Partial<WorksheetLine> = {}): WorksheetLine => ({
  line: 1,
  takes: 'disodium-hydrogen-phosphate-dihydrate',
  name: 'Disodium hydrogen phosphate dihydrate',
  water: false,
  amount: { value: 3.8, unit: 'g' },
  makeUpTo: false,
  untilReading: false,
  within: { least: 3.724, most: 3.876 },
  formula: null,
  mmolPerL: null,
  instead: [{ takes: 'disodium-hydrogen-phosphate', formula: 'Na2HPO4', amount: { value: 3.0308, unit: 'g' } }],
  dilutes: null,
  how: null,
  containers: [],
  short: null,
  ...changes,
});
const bottle = (amount: string, reagent = 'disodium-hydrogen-phosphate-dihydrate') => ({
  id: `b-${reagent}`,
  label: 'SW1:C:1',
  reagent,
  amount,
});

describe('a worksheet that is worked through', () => {
  it('takes numbers as they are typed, with a comma or a point', () => {
    expect([typedNumber('3,8'), typedNumber(' 3.8 ')]).toEqual([3.8, 3.8]);
    expect([typedNumber(''), typedNumber('3.8 g'), typedNumber('1e3')]).toEqual([NaN, NaN, NaN]);
    expect(amountText({ value: 18.1092, unit: 'mg' })).toBe('18.11 mg');
    expect(amountText({ value: 10, unit: '{fold}' })).toBe('10 fold');
  });

  it('asks for a reason where the sum is off, the limits themselves being right', () => {
    const off = (...amounts: string[]) => isOff(line(), { taken: amounts.map((amount) => bottle(amount)), reason: '' });
    expect([off('3.8'), off('3.724'), off('3.876'), off('1.9', '1.9')]).toEqual([false, false, false, false]);
    expect([off('3.7'), off('3.9'), off('3.8', '3.8')]).toEqual([true, true, true]);
    expect(off('soon')).toBe(false);
    const other = isOff(line(), { taken: [bottle('3.03', 'disodium-hydrogen-phosphate')], reason: '' });
    expect(other).toBe(false);
    expect(isOff(line({ within: null }), { taken: [bottle('99')], reason: '' })).toBe(false);
  });

  it('tells the lines that are not whole, and sends those that are', () => {
    const lines = [line(), line({ line: 2 }), line({ line: 3 }), line({ line: 4, water: true })];
    const filling = new Map([
      [1, { taken: [bottle('3,8')], reason: '' }],
      [2, { taken: [bottle('5')], reason: ' ' }],
    ]);
    expect(missingLines(lines, filling)).toEqual([2, 3]);
    expect(linesOf(lines, filling)[0]).toEqual({
      line: 1,
      taken: [{ container: bottle('').id, quantity: { value: 3.8, unit: 'g' } }],
    });
    expect(linesOf(lines, filling)).toHaveLength(2);
  });

  it('sends the readings that were taken', () => {
    const typed = new Map([
      ['ph', { value: '7,1' }],
      ['clear', { passed: false }],
      ['later', { value: '' }],
    ]);
    expect(readingsOf(typed)).toEqual([
      { id: 'ph', value: 7.1 },
      { id: 'clear', passed: false },
    ]);
  });
});
