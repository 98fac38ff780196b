import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { clockOffset, elapsed, judgeDuration, type Stamp, type Window } from '../../../src/core/time/duration.js';
import { instantOf } from '../../../src/core/time/instant.js';

const start = Date.parse('2026-11-25T09:00:00.000Z');
const stamp = (ms: number, uncertaintyMs: number | null, clock: Partial<Stamp> = {}): Stamp => ({
  at: instantOf(start + ms),
  uncertaintyMs,
  ...clock,
});
const refusal = (code: string) => expect.objectContaining({ code });

describe('elapsed', () => {
  // Quartz of 20 ppm gains or loses 1.7 s a day: common practice, no source.
  it('allows one clock its drift of 1.7 s a day at 20 ppm', () => {
    const day = 24 * 3600 * 1000;
    const clock = (monotonicMs: number) => ({ clockSession: 'a', monotonicMs });
    expect(elapsed(stamp(0, null, clock(0)), stamp(day, null, clock(day)), 20)).toEqual({
      durationMs: day,
      uncertaintyMs: 1728,
    });
  });

  it('takes the instants when one reading of the session is missing', () => {
    const from = stamp(0, 100, { clockSession: 'a', monotonicMs: 5000 });
    const to = stamp(30_000, 200, { clockSession: 'a', monotonicMs: null });
    expect(elapsed(from, to, 100)).toEqual({ durationMs: 30_000, uncertaintyMs: 300 });
  });

  it('takes the steady clock even when the instants run backwards', () => {
    const from = stamp(10_000, 100, { clockSession: 'a', monotonicMs: 5000 });
    const to = stamp(0, 100, { clockSession: 'a', monotonicMs: 25_000 });
    expect(elapsed(from, to, 0).durationMs).toBe(20_000);
  });

  // JCGM 106:2012: an end that the two clocks only seem to put before the start is still possible.
  it('keeps an end before the start while the uncertainty of two clocks allows the right order', () => {
    expect(elapsed(stamp(0, 150), stamp(-300, 150), 100)).toEqual({ durationMs: -300, uncertaintyMs: 300 });
    expect(elapsed(stamp(0, null), stamp(-300, 150), 100)).toEqual({ durationMs: -300, uncertaintyMs: null });
    expect(() => elapsed(stamp(0, 150), stamp(-301, 150), 100)).toThrow(refusal('end-before-start'));
  });

  it('refuses a clock that ran backwards within its own session', () => {
    const from = stamp(0, 900, { clockSession: 'a', monotonicMs: 5000 });
    const to = stamp(0, 900, { clockSession: 'a', monotonicMs: 4999 });
    expect(() => elapsed(from, to, 100)).toThrow(refusal('end-before-start'));
  });

  it.each([
    ['a negative uncertainty', stamp(0, -1), 0],
    ['a fraction of a millisecond', stamp(0, 0.5), 0],
    ['an uncertainty that is no number', stamp(0, Number.NaN), 0],
    ['a negative drift', stamp(0, 0, { clockSession: 'a', monotonicMs: 0 }), -1],
    ['a drift that is no number', stamp(0, 0, { clockSession: 'a', monotonicMs: 0 }), Number.NaN],
    ['a fractional steady clock', stamp(0, 0, { clockSession: 'a', monotonicMs: 0.25 }), 0],
  ])('refuses %s', (_what, from, drift) => {
    const to = stamp(1000, 0, { clockSession: 'a', monotonicMs: 1000 });
    expect(() => elapsed(from, to, drift)).toThrow(refusal('bad-reading'));
  });
});

describe('judgeDuration', () => {
  const window: Window = { minMs: 20_000, maxMs: 60_000 };

  // JCGM 106:2012, guard bands: conforming inside [lower + U, upper - U], both ends included.
  it.each([
    [20_250, 250, 'within'],
    [20_249, 250, 'indeterminate'],
    [19_750, 250, 'indeterminate'],
    [19_749, 250, 'short'],
    [59_750, 250, 'within'],
    [59_751, 250, 'indeterminate'],
    [60_250, 250, 'indeterminate'],
    [60_251, 250, 'long'],
    // Wider than the window itself: nothing can be decided inside it.
    [40_000, 20_001, 'indeterminate'],
  ])('puts %d ms give or take %d ms as %s', (durationMs, uncertaintyMs, verdict) => {
    expect(judgeDuration({ durationMs, uncertaintyMs }, window)).toBe(verdict);
  });

  // Both ends noted to the whole minute are up to 60 s off together and cannot judge a 30 s step: common practice, no source.
  it('leaves a 30 s step noted to the whole minute undecided', () => {
    expect(judgeDuration({ durationMs: 60_000, uncertaintyMs: 60_000 }, { minMs: 25_000, maxMs: 35_000 })).toBe(
      'indeterminate',
    );
  });

  it('takes no duration to be negative', () => {
    expect(judgeDuration({ durationMs: -100, uncertaintyMs: 300 }, { minMs: 0, maxMs: 200 })).toBe('within');
    expect(judgeDuration({ durationMs: -100, uncertaintyMs: 300 }, { minMs: 201, maxMs: null })).toBe('short');
    expect(() => judgeDuration({ durationMs: -301, uncertaintyMs: 300 }, window)).toThrow(refusal('end-before-start'));
  });

  it('decides nothing without a bound, unless there is no window', () => {
    expect(judgeDuration({ durationMs: 30_000, uncertaintyMs: null }, window)).toBe('indeterminate');
    expect(judgeDuration({ durationMs: 30_000, uncertaintyMs: null }, { minMs: null, maxMs: 1 })).toBe('indeterminate');
    expect(judgeDuration({ durationMs: 30_000, uncertaintyMs: null }, { minMs: 1, maxMs: null })).toBe('indeterminate');
    expect(judgeDuration({ durationMs: 30_000, uncertaintyMs: null }, { minMs: null, maxMs: null })).toBe('within');
  });

  it('refuses a minimum above the maximum, and takes one equal to it', () => {
    expect(() => judgeDuration({ durationMs: 5, uncertaintyMs: 0 }, { minMs: 6, maxMs: 5 })).toThrow(
      refusal('min-above-max'),
    );
    expect(judgeDuration({ durationMs: 5, uncertaintyMs: 0 }, { minMs: 5, maxMs: 5 })).toBe('within');
  });
});

describe('any duration in any window', () => {
  const ms = fc.integer({ min: 0, max: 2000 });
  const windows = fc
    .tuple(fc.option(ms), fc.option(ms))
    .filter(([min, max]) => min === null || max === null || min <= max)
    .map(([minMs, maxMs]): Window => ({ minMs, maxMs }));
  const uncertainties = fc.option(fc.integer({ min: 0, max: 500 }));
  const conforms = (duration: number, { minMs, maxMs }: Window) =>
    duration >= (minMs ?? 0) && duration <= (maxMs ?? Infinity);

  it('is judged as every true value in the interval would be, and undecided only when they differ', () => {
    fc.assert(
      fc.property(ms, fc.integer({ min: 0, max: 500 }), windows, (durationMs, uncertaintyMs, window) => {
        const verdict = judgeDuration({ durationMs, uncertaintyMs }, window);
        const truths = Array.from({ length: 2 * uncertaintyMs + 1 }, (_, i) => durationMs - uncertaintyMs + i).filter(
          (truth) => truth >= 0,
        );
        if (verdict === 'within') expect(truths.every((truth) => conforms(truth, window))).toBe(true);
        if (verdict === 'short') expect(truths.every((truth) => truth < (window.minMs ?? 0))).toBe(true);
        if (verdict === 'long') expect(truths.every((truth) => truth > (window.maxMs ?? Infinity))).toBe(true);
        if (verdict === 'indeterminate') {
          const sides = new Set(
            truths.map((truth) => (conforms(truth, window) ? 'in' : truth < (window.minMs ?? 0) ? 'below' : 'above')),
          );
          expect(sides.size).toBeGreaterThan(1);
        }
      }),
    );
  });

  it('is never decided, or decided otherwise, by knowing less', () => {
    fc.assert(
      fc.property(ms, uncertainties, uncertainties, windows, (durationMs, some, more, window) => {
        const known = judgeDuration({ durationMs, uncertaintyMs: some }, window);
        const wider = some === null || more === null ? null : some + more;
        expect([known, 'indeterminate']).toContain(judgeDuration({ durationMs, uncertaintyMs: wider }, window));
        if (known === 'indeterminate') {
          expect(judgeDuration({ durationMs, uncertaintyMs: wider }, window)).toBe('indeterminate');
        }
      }),
    );
  });
});

describe('clockOffset', () => {
  // RFC 5905 section 8: theta = ((T2 - T1) + (T3 - T4)) / 2, delta = (T4 - T1) - (T3 - T2), |error| at most delta / 2;
  // each reading is cut to whole milliseconds, which adds one.
  it('gives offset, round trip and half of it as the error', () => {
    expect(clockOffset({ t1: 1000, t2: 5010, t3: 5012, t4: 1022 })).toEqual({
      offsetMs: 4000,
      roundTripMs: 20,
      uncertaintyMs: 11,
    });
    expect(clockOffset({ t1: 9000, t2: 2010, t3: 2010, t4: 9021 })).toEqual({
      offsetMs: -7000,
      roundTripMs: 21,
      uncertaintyMs: 12,
    });
  });

  it('covers the true offset whatever the two ways took', () => {
    const way = fc.double({ min: 0, max: 3000, noNaN: true });
    fc.assert(
      fc.property(
        fc.double({ min: -1e7, max: 1e7, noNaN: true }),
        fc.double({ min: 1e8, max: 1e9, noNaN: true }),
        way,
        way,
        way,
        (truth, sent, there, work, back) => {
          const readings = {
            t1: Math.floor(sent),
            t2: Math.floor(sent + there + truth),
            t3: Math.floor(sent + there + work + truth),
            t4: Math.floor(sent + there + work + back),
          };
          const { offsetMs, uncertaintyMs } = clockOffset(readings);
          // The millionth is for binary fractions of the drawn times themselves.
          expect(Math.abs(offsetMs - truth)).toBeLessThanOrEqual(uncertaintyMs + 1e-6);
        },
      ),
    );
  });

  it.each([
    ['an answer before the request', { t1: 1000, t2: 5, t3: 6, t4: 999 }],
    ['a server that ran backwards', { t1: 1000, t2: 6, t3: 5, t4: 1010 }],
    ['a server that worked longer than the device waited', { t1: 1000, t2: 0, t3: 100, t4: 1050 }],
    ['fractions', { t1: 1000.5, t2: 0, t3: 1, t4: 1050 }],
  ])('refuses %s', (_what, readings) => {
    expect(() => clockOffset(readings)).toThrow(refusal('bad-reading'));
  });

  it('takes a round trip that only the cut to milliseconds made negative as none', () => {
    expect(clockOffset({ t1: 1000, t2: 5000, t3: 5001, t4: 1000 })).toEqual({
      offsetMs: 4001,
      roundTripMs: 0,
      uncertaintyMs: 2,
    });
  });
});
