import { describe, expect, it } from '@jest/globals';
import { asWords, spanText, timeFormat, timerText, unitText } from '../../src/web/parts/format.js';

describe('timer text', () => {
  it.each([
    [0, '0:00', '0:00'],
    [1, '0:00', '0:01'],
    [61_200, '1:01', '1:02'],
    [3_599_999, '59:59', '1:00:00'],
    [-5_000, '0:00', '0:00'],
  ])('of %i ms is %s counted up and %s counted down', (ms, up, down) => {
    expect(timerText(ms)).toBe(up);
    expect(timerText(ms, 'down')).toBe(down);
  });
});

describe('span text', () => {
  it.each([
    [0, '0 s'],
    [80_500, '1 min 21 s'],
    [90_000_000, '1 d 1 h'],
  ])('of %i ms is %s', (ms, text) => {
    expect(spanText(ms)).toBe(text);
  });
});

describe('instants', () => {
  it('are shown in the laboratory’s zone, inside a sentence too', () => {
    const format = timeFormat('Europe/Lisbon', 'en-GB');
    expect(format.clock('2027-06-30T13:30:05.000Z')).toBe('14:30:05');
    expect(format.within('opened life ended at 2027-06-30T23:30:00.000Z; take another')).toBe(
      'opened life ended at 1 Jul 2027, 00:30; take another',
    );
  });
});

it('asWords reads an id as words', () => expect(asWords('into-fixative')).toBe('Into fixative'));

it('unitText writes units without the braces of UCUM, and its codes as people do', () => {
  expect(['{ratio}', 'mg/dL', '10*3/{field}'].map(unitText)).toEqual(['ratio', 'mg/dL', '10*3/field']);
  expect(['uL', 'ug/mL', 'Cel', '[degF]', '[pH]', '1'].map(unitText)).toEqual(['µL', 'µg/mL', '°C', '°F', '', '']);
});
