import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { countdown } from '../../src/web/bench/countdown.js';

const DYE = { kind: 'end', minMs: 15_000, targetMs: 20_000, maxMs: 30_000 } as const;

describe('countdown', () => {
  it.each([
    [0, 'early', 'early', '0:15'],
    [14_001, 'early', 'early', '0:01'],
    [15_000, 'open', 'aim', '0:05'],
    [20_000, 'open', 'endWithin', '0:10'],
    [25_000, 'closing', 'endWithin', '0:05'],
    [30_000, 'closing', 'endWithin', '0:00'],
    [30_001, 'over', 'over', '0:00'],
    [33_500, 'over', 'over', '0:03'],
  ])('of a dye step of 15 to 30 s, aim 20 s, after %i ms is "%s": %s %s', (passed, phase, word, text) => {
    expect(countdown(DYE, passed)).toEqual({ phase, word, text });
  });

  it('counts up where no end is set, once the target is reached', () => {
    expect(countdown({ ...DYE, minMs: null, maxMs: null }, 61_000)).toEqual({
      phase: 'open',
      word: 'running',
      text: '1:01',
    });
  });

  it('counts the gap before a start', () => {
    expect(countdown({ kind: 'start', minMs: null, targetMs: 0, maxMs: 30_000 }, 4_000)).toEqual({
      phase: 'open',
      word: 'startWithin',
      text: '0:26',
    });
  });

  it('sets no time for what nothing hurries', () => {
    expect(countdown({ kind: 'start', minMs: null, targetMs: null, maxMs: null }, null)).toEqual({
      phase: 'open',
      word: 'ready',
      text: '',
    });
  });

  it('shows a start that lies ahead by another clock as just begun', () => {
    expect(countdown(DYE, -80)).toEqual(countdown(DYE, 0));
  });

  it('never shows time left once a window is over, nor the reverse', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100_000 }), (passed) => {
        const { phase, word } = countdown(DYE, passed);
        expect(phase === 'over').toBe(passed > 30_000);
        expect(word === 'over').toBe(passed > 30_000);
      }),
    );
  });
});
