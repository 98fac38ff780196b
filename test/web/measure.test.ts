import { describe, expect, it } from '@jest/globals';
import { measure } from '../../src/web/release/measure.js';

const at = (second: string) => ({ at: `2026-11-25T09:00:${second}.000Z`, uncertaintyMs: 0 });
const WINDOW = { minMs: 15_000, maxMs: 25_000 };

describe('a drawn duration', () => {
  it('is judged by the guard-band rule (JCGM 106:2012)', () => {
    expect(measure(at('00'), at('20'), WINDOW)).toEqual({
      elapsed: { durationMs: 20_000, uncertaintyMs: 0 },
      verdict: 'within',
    });
    const unsure = { ...at('20'), uncertaintyMs: 6_000 };
    expect(measure(at('00'), unsure, WINDOW).verdict).toBe('indeterminate');
  });

  it('is none when its end surely lies before its start', () => {
    expect(measure(at('20'), at('00'), WINDOW)).toEqual({ elapsed: null, verdict: 'torn' });
  });
});
