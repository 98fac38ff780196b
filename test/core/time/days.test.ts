import { expect, it } from '@jest/globals';
import { isPrintedPast } from '../../../src/core/time/days.js';

it('isPrintedPast is true from the day after the last one, which of a month alone is the last of that month', () => {
  expect(isPrintedPast('2026-11-26', '2026-11-27')).toBe(true);
  expect(isPrintedPast('2026-11-27', '2026-11-27')).toBe(false);
  expect(isPrintedPast(' 2026-10 ', '2026-11-01')).toBe(true);
  expect(isPrintedPast('2026-11', '2026-11-30')).toBe(false);
});

it('isPrintedPast is false of what is still typed or is no date', () => {
  for (const typed of ['', '202', '2020-1', 'none']) expect(isPrintedPast(typed, '2026-11-27')).toBe(false);
});
