import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computeTiming } from '../../../src/core/time/case.js';

interface TimingCase {
  id: string;
  what: string;
  expected: { error: true } | { durationMs: number; uncertaintyMs: number | null; verdict: string };
}

// Source and making stand in the file: JCGM 106:2012, an independent script in exact integer milliseconds.
const { cases } = JSON.parse(readFileSync(new URL('../../vectors/timing.json', import.meta.url), 'utf8')) as {
  cases: TimingCase[];
};

describe('the published timing cases', () => {
  it('are all here', () => {
    expect(cases).toHaveLength(40);
  });

  it.each(cases)('$id $what', ({ expected, ...given }) => {
    if ('error' in expected) {
      expect(() => computeTiming(given)).toThrow(
        expect.objectContaining({ code: expect.stringMatching(/^(end-before-start|min-above-max)$/) }),
      );
    } else {
      expect(computeTiming(given)).toEqual({ id: given.id, ...expected });
    }
  });
});

describe('a timing case that cannot be computed', () => {
  const at = '2026-03-29T00:00:00.000Z';
  const good = {
    id: 'X1',
    start: { at, uncertaintyMs: 0 },
    end: { at, uncertaintyMs: 0 },
    window: { minMs: null, maxMs: 1 },
  };

  it('is not this one', () => {
    expect(computeTiming(good)).toEqual({ id: 'X1', durationMs: 0, uncertaintyMs: 0, verdict: 'within' });
  });

  it.each<[string, unknown, string]>([
    ['nothing', null, 'the case must be an object'],
    ['a list', [], 'the case must be an object'],
    ['no id', { ...good, id: undefined }, 'id is missing'],
    ['no end', { ...good, end: undefined }, 'end must be an object'],
    ['no window', { ...good, window: undefined }, 'window must be an object'],
    ['half a window', { ...good, window: { minMs: 1 } }, 'window.maxMs is missing'],
    ['a misspelt window', { ...good, window: { minMS: 1, minMs: null, maxMs: null } }, 'window.minMS is not known'],
    ['a text for a number', { ...good, window: { minMs: '1', maxMs: null } }, 'window.minMs is "1"'],
    ['a negative limit', { ...good, window: { minMs: -1, maxMs: null } }, 'window.minMs is -1'],
    ['half milliseconds', { ...good, start: { at, uncertaintyMs: 0.5 } }, 'start.uncertaintyMs is 0.5'],
    ['a negative uncertainty', { ...good, start: { at, uncertaintyMs: -5 } }, 'start.uncertaintyMs is -5'],
    ['an uncertainty left out', { ...good, start: { at } }, 'start.uncertaintyMs is missing'],
    ['a time without a zone', { ...good, start: { at: '2026-03-29T00:00:00', uncertaintyMs: 0 } }, 'not an instant'],
    ['a drift below 0', { ...good, driftPpm: -1 }, 'driftPpm is -1'],
    [
      'one clock without its drift',
      {
        ...good,
        start: { ...good.start, clockSession: 'a', monotonicMs: 1 },
        end: { ...good.end, clockSession: 'a', monotonicMs: 2 },
      },
      'driftPpm is missing',
    ],
  ])('has %s and says so', (_what, given, message) => {
    expect(() => computeTiming(given)).toThrow(
      expect.objectContaining({ code: expect.any(String), message: expect.stringContaining(message) }),
    );
  });
});
