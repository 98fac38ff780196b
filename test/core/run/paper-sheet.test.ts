import { describe, expect, it } from '@jest/globals';
import { paperEvents, paperStamps } from '../../../src/core/run/paper-sheet.js';
import { elapsed, judgeDuration } from '../../../src/core/time/duration.js';

const CLOCK = { aheadSec: 90, uncertaintySec: 60, stopwatchSec: 1 };
const WRITTEN = '2026-11-25T09:01:30.000Z';
const DRIFT_PPM = 100;

describe('Times on paper', () => {
  it('are set right by what the clock was ahead, and are as unsure as it', () => {
    const { start, end } = paperStamps(12, CLOCK, { step: 'dye', startedAt: WRITTEN });
    expect(start).toMatchObject({
      device: 'paper sheet 12',
      at: '2026-11-25T09:00:00.000Z',
      uncertaintyMs: 60_000,
      monotonicMs: null,
      late: true,
    });
    expect(end).toBeNull();
  });

  // Both readings may be off, each its own way: half widths add up (worst case), and what may lie outside of a window is not
  // called inside it. JCGM 106:2012, guarded acceptance (8.3.2).
  it.each([
    ['20 min by the clock', { endedAt: '2026-11-25T09:21:30.000Z' }, 1_200_000, 120_000, 'within'],
    ['12 min by the clock, 10 at least', { endedAt: '2026-11-25T09:13:30.000Z' }, 720_000, 120_000, 'within'],
    ['11 min by the clock, 10 at least', { endedAt: '2026-11-25T09:12:30.000Z' }, 660_000, 120_000, 'indeterminate'],
    // By one steady clock the time of day cancels; what is left is its drift and the hand that stopped it.
    ['11 min by stopwatch', { lastedSec: 660 }, 660_000, 1_066, 'within'],
    ['10 min by stopwatch', { lastedSec: 600 }, 600_000, 1_060, 'indeterminate'],
    ['9 min by stopwatch', { lastedSec: 540 }, 540_000, 1_054, 'short'],
  ])('%s', (_, how, durationMs, uncertaintyMs, verdict) => {
    const { start, end } = paperStamps(12, CLOCK, { step: 'dye', startedAt: WRITTEN, ...how });
    const measured = elapsed(start, end!, DRIFT_PPM);
    expect(measured).toEqual({ durationMs, uncertaintyMs });
    expect(judgeDuration(measured, { minMs: 600_000, maxMs: 1_500_000 })).toBe(verdict);
  });

  it('become events in their order, with the words last', () => {
    const events = paperEvents(
      12,
      {
        clock: { ...CLOCK, aheadSec: 0 },
        tray: [{ reagent: 'eosin', container: 'c', at: '2026-11-25T09:05:00.000Z' }],
        steps: [
          { step: 'dye', startedAt: '2026-11-25T09:01:00.000Z', lastedSec: 30 },
          { step: 'rinse', startedAt: '2026-11-25T09:01:30.000Z', endedAt: '2026-11-25T09:06:00.000Z' },
        ],
        words: 'initials TP',
      },
      '2026-11-25T12:00:00.000Z',
    );
    expect(events.map(({ kind, data }) => [kind, 'step' in data ? data.step : null])).toEqual([
      ['step-started', 'dye'],
      ['step-ended', 'dye'],
      ['step-started', 'rinse'],
      ['tray-scanned', null],
      ['step-ended', 'rinse'],
      ['noted', null],
    ]);
  });

  it('are refused where a step says two ends', () => {
    const step = { step: 'dye', startedAt: WRITTEN, endedAt: WRITTEN, lastedSec: 3 };
    expect(() => paperEvents(12, { clock: CLOCK, tray: [], steps: [step] }, WRITTEN)).toThrow(/how long it lasted/);
  });
});
