import { describe, expect, it } from '@jest/globals';
import type { Step } from '../../../src/core/protocol/protocol.js';
import { clashes, clashSpans, type MomentOfRun, momentsAhead, momentsOf } from '../../../src/core/run/ahead.js';
import { plannedAt } from '../../../src/core/run/planned.js';
import { runState } from '../../../src/core/run/state.js';
import type { RunEvent } from '../../../src/core/run/events.js';
import { plusMs } from '../../../src/core/time/instant.js';
import { shipped } from '../../support/bedside.js';

const AT = '2026-11-25T09:00:00.000Z';
const EYES_MS = 30_000;

function step(id: string, seconds: number, more: Partial<Step> = {}): Step {
  return {
    id,
    action: `Do ${id}`,
    vessel: 'dish',
    time: { target: seconds, unit: 's', status: 'set by this laboratory', window: 'set by this laboratory' },
    end: 'clock',
    critical: false,
    handsOn: { start: 5, end: 3 },
    sources: [],
    ...more,
  };
}

const moment = (runId: string, inMs: number, more: Partial<MomentOfRun> = {}): MomentOfRun => ({
  runId,
  step: step('s', 1),
  kind: 'end',
  byEye: false,
  inMs,
  handsMs: 5_000,
  notBeforeMs: null,
  notAfterMs: null,
  ...more,
});

describe('What lies ahead of a run', () => {
  it('is each step’s start and end at its target, optional ones left out', () => {
    const steps = [step('dye', 20), step('extra', 60, { optional: true }), step('differentiate', 6, { end: 'eye' })];
    expect(
      momentsOf(steps).map(({ step: { id }, kind, byEye, inMs, handsMs }) => [id, kind, byEye, inMs, handsMs]),
    ).toEqual([
      ['dye', 'start', false, 0, 5_000],
      ['dye', 'end', false, 20_000, 3_000],
      ['differentiate', 'start', false, 20_000, 5_000],
      ['differentiate', 'end', true, 26_000, 3_000],
    ]);
  });

  it('may be within its window, or its gap, counted from what comes before it at its time', () => {
    const time = { min: 15, target: 20, max: 30, unit: 's', status: 'proposal', window: 'proposal' } as const;
    const gap = { max: 40, unit: 's', status: 'proposal', why: 'dries' } as const;
    const steps = [step('dye', 20, { time }), step('rinse', 10, { gap })];
    expect(momentsOf(steps, 1000).map(({ notBeforeMs, notAfterMs }) => [notBeforeMs, notAfterMs])).toEqual([
      [1000, null],
      [16_000, 31_000],
      [21_000, 61_000],
      [null, null],
    ]);
  });

  it('begins with what runs, counted from its start, and with now when it is late', () => {
    const protocol = { ...shipped('ao-fresh'), steps: [step('dye', 20), step('rinse', 10)] };
    const started = {
      id: 'e1',
      runId: 'r',
      seq: 1,
      kind: 'step-started',
      data: { step: 'dye' },
      stamp: { at: AT, uncertaintyMs: 5, device: 'd', monotonicMs: null, offsetMs: 0, roundTripMs: 1, late: false },
      personId: 'p',
      receivedAt: AT,
    } as RunEvent;
    const state = runState(protocol, [started]);
    const after = (ms: number) =>
      momentsAhead({ state }, { at: plusMs(AT, ms), uncertaintyMs: 5 }).map(({ step: { id }, kind, inMs }) => [
        id,
        kind,
        inMs,
      ]);
    expect(after(5_000)).toEqual([
      ['dye', 'end', 15_000],
      ['rinse', 'start', 15_000],
      ['rinse', 'end', 25_000],
    ]);
    expect(after(50_000)[0]).toEqual(['dye', 'end', 0]);
  });
});

describe('A plan', () => {
  const plan = [
    { step: 'dye', startsAt: plusMs(AT, 10_000) },
    { step: 'rinse', startsAt: plusMs(AT, 45_000) },
    { step: null, startsAt: plusMs(AT, 70_000) },
  ];

  it('has a step start at its own moment and end with the next one', () => {
    expect(plannedAt(plan, 'dye', 'start')).toBe(plusMs(AT, 10_000));
    expect(plannedAt(plan, 'dye', 'end')).toBe(plusMs(AT, 45_000));
    expect(plannedAt(plan, 'rinse', 'end')).toBe(plusMs(AT, 70_000));
    expect(plannedAt(plan, 'mount', 'start')).toBeNull();
  });

  it('moves what lies ahead as far as windows allow, and never to sooner', () => {
    const dye = step('dye', 20);
    const protocol = {
      ...shipped('ao-fresh'),
      steps: [{ ...dye, time: { ...dye.time, max: 30 } }, step('rinse', 30)],
    };
    const ahead = momentsAhead({ state: runState(protocol, []), plan }, { at: AT, uncertaintyMs: 5 });
    expect(ahead.map(({ step: { id }, kind, inMs }) => [id, kind, inMs])).toEqual([
      ['dye', 'start', 10_000],
      // Planned for 45 s, which is more than the 30 s that it may last.
      ['dye', 'end', 40_000],
      ['rinse', 'start', 45_000],
      // Planned for 70 s, which is sooner than its target.
      ['rinse', 'end', 75_000],
    ]);
  });
});

describe('Times in which something clashes', () => {
  it('are one where they touch, however many moments they are of', () => {
    const many = [0, 1_000, 2_000].flatMap((at) => ['a', 'b', 'c'].map((run) => moment(run, at)));
    const later = [moment('a', 60_000), moment('b', 61_000, { handsMs: 9_000 })];
    const found = clashes([...later, ...many], EYES_MS);
    expect(found.length).toBeGreaterThan(9);
    expect(clashSpans(found)).toEqual([
      { fromMs: 0, toMs: 7_000 },
      { fromMs: 60_000, toMs: 70_000 },
    ]);
  });

  it('are none when nothing clashes', () => {
    expect(clashSpans([])).toEqual([]);
  });
});

describe('Moments that clash', () => {
  it.each<[string, MomentOfRun, MomentOfRun, boolean]>([
    ['while hands are busy with the first', moment('a', 0), moment('b', 4_999), true],
    ['not once they are free', moment('a', 0), moment('b', 5_000), false],
    ['not within one run', moment('a', 0), moment('a', 1_000), false],
    ['when both want an eye about then', moment('a', 0, { byEye: true }), moment('b', 30_000, { byEye: true }), true],
    ['not when only one does', moment('a', 0, { byEye: true }), moment('b', 30_000), false],
    ['not when they are further apart', moment('a', 0, { byEye: true }), moment('b', 30_001, { byEye: true }), false],
  ])('%s', (_, first, second, clash) => {
    expect(clashes([second, first], EYES_MS)).toEqual(clash ? [{ first, second }] : []);
  });
});
