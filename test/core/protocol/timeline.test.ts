import { describe, expect, it } from '@jest/globals';
import { timelineOf } from '../../../src/core/protocol/timeline.js';
import type { Step } from '../../../src/core/protocol/protocol.js';
import { shipped } from './sample.js';

const step = (id: string, time: Partial<Step['time']>, more: Partial<Step> = {}): Step => ({
  id,
  action: id,
  vessel: 'dish',
  time: { target: 20, unit: 's', status: 'proposal', window: 'proposal', ...time },
  end: 'clock',
  critical: false,
  handsOn: { start: 5, end: 3 },
  sources: [],
  ...more,
});

describe('A protocol on one axis of time', () => {
  it('has its steps one after the other at their targets, with window, gap and busy hands', () => {
    const gap = { max: 30, unit: 's', status: 'proposal', why: 'dries' } as const;
    const { steps, ...whole } = timelineOf({
      steps: [step('dye', { min: 15, max: 30 }), step('rinse', { target: 1, max: 2, unit: 'min' }, { gap })],
    });
    expect(whole).toEqual({ targetMs: 80_000, leastMs: 15_000, mostMs: 150_000, handsOnMs: 16_000 });
    expect(steps).toEqual([
      {
        id: 'dye',
        fromMs: 0,
        toMs: 20_000,
        earliestMs: 15_000,
        latestMs: 30_000,
        handsUntilMs: 5000,
        handsFromMs: 17_000,
        gapMs: null,
      },
      {
        id: 'rinse',
        fromMs: 20_000,
        toMs: 80_000,
        earliestMs: null,
        latestMs: 140_000,
        handsUntilMs: 25_000,
        handsFromMs: 77_000,
        gapMs: 30_000,
      },
    ]);
  });

  it('has no most where a step has none, no least for what may be left out, and hands busy no longer than a step lasts', () => {
    const { steps, ...whole } = timelineOf({
      steps: [
        step('dip', { target: 2, min: 1 }, { optional: true }),
        step('wash', { target: 10, min: 8 }, { handsOn: { start: 8, end: 8 } }),
      ],
    });
    expect(whole).toEqual({ targetMs: 12_000, leastMs: 8000, mostMs: null, handsOnMs: 12_000 });
    expect(steps.map(({ handsUntilMs, handsFromMs }) => [handsUntilMs, handsFromMs])).toEqual([
      [2000, 2000],
      [10_000, 10_000],
    ]);
  });

  it('is as long as the targets of a shipped stain together', () => {
    const { steps } = shipped('he-mayer-progressive');
    const seconds = { ms: 0.001, s: 1, min: 60, h: 3600, d: 86_400 };
    const all = steps.reduce((sum, { time }) => sum + time.target * seconds[time.unit], 0);
    expect(timelineOf({ steps }).targetMs).toBe(all * 1000);
  });
});
