import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Protocol, Step } from '../../../src/core/protocol/protocol.js';
import type { RunEvent, RunEventData, RunEventKind } from '../../../src/core/run/events.js';
import { dipAt } from '../../../src/core/run/dips.js';
import {
  actionsOf,
  type BenchRun,
  leftMs,
  momentsBetween,
  nextActions,
  passedMs,
  phaseAt,
  warningMs,
} from '../../../src/core/run/next.js';
import { runState } from '../../../src/core/run/state.js';
import type { Stamp } from '../../../src/core/time/duration.js';
import { instantOf, plusMs } from '../../../src/core/time/instant.js';

const START = '2026-11-25T09:00:00.000Z';

function step(id: string, [min, target, max]: [number | undefined, number, number | undefined], gap?: number): Step {
  return {
    id,
    action: `Do ${id}`,
    vessel: 'staining dish',
    time: {
      ...(min !== undefined && { min }),
      target,
      ...(max !== undefined && { max }),
      unit: 's',
      status: 'set by this laboratory',
      window: 'set by this laboratory',
    },
    ...(gap !== undefined && {
      gap: { max: gap, unit: 's', status: 'set by this laboratory', why: 'it dries' } as const,
    }),
    end: 'clock',
    critical: true,
    handsOn: { start: 5, end: 5 },
    sources: [],
  };
}

function protocol(steps: Step[]): Protocol {
  return {
    format: 'stainwright-protocol/1',
    id: 'quill-test',
    title: 'Quill test stain',
    purpose: 'test',
    category: 'special',
    setting: 'laboratory',
    material: { form: 'section', description: 'section', irreplaceable: false },
    expected: 'blue',
    steps,
    releasePoints: [],
    controls: [],
    cautions: [],
    fitness: [],
    sources: [],
  };
}

/** One clock session unless told otherwise. */
function at(seconds: number, session = 'tab-1'): Stamp {
  return {
    at: plusMs(START, seconds * 1000),
    uncertaintyMs: 10,
    clockSession: session,
    monotonicMs: 500_000 + seconds * 1000,
  };
}

let seq = 0;
function event<K extends RunEventKind>(kind: K, data: RunEventData[K], stamp: Stamp): RunEvent {
  seq += 1;
  return {
    id: `e${seq}`,
    runId: 'r',
    seq,
    kind,
    data,
    stamp: { device: 'bench', offsetMs: 0, roundTripMs: 20, late: false, ...stamp },
    personId: 'p',
    receivedAt: stamp.at,
  } as RunEvent;
}

const started = (id: string, stamp: Stamp) => event('step-started', { step: id }, stamp);
const ended = (id: string, stamp: Stamp) => event('step-ended', { step: id }, stamp);

function run(id: string, steps: Step[], events: RunEvent[], startedAt = START): BenchRun {
  return { id, startedAt, subjects: [], state: runState(protocol(steps), events) };
}

const DYE = step('dye', [15, 20, 30]);
const RINSE = step('rinse', [5, 10, 30], 30);

describe('what is next for one run', () => {
  it('is the first step of a new run, which nothing hurries', () => {
    expect(actionsOf(run('a', [DYE, RINSE], []))).toMatchObject([
      { kind: 'start', step: { id: 'dye' }, since: null, by: null },
    ]);
  });

  it('is the end of a running step, with its window as instants', () => {
    expect(actionsOf(run('a', [DYE, RINSE], [started('dye', at(0))]))).toMatchObject([
      {
        kind: 'end',
        step: { id: 'dye' },
        from: '2026-11-25T09:00:15.000Z',
        target: '2026-11-25T09:00:20.000Z',
        by: '2026-11-25T09:00:30.000Z',
      },
    ]);
  });

  it('is the start of the following step, no later than its gap allows', () => {
    const events = [started('dye', at(0)), ended('dye', at(20))];
    expect(actionsOf(run('a', [DYE, RINSE], events))).toMatchObject([
      { kind: 'start', step: { id: 'rinse' }, from: null, by: '2026-11-25T09:00:50.000Z' },
    ]);
  });

  it('names every step that runs', () => {
    const events = [started('dye', at(0)), started('rinse', at(5))];
    expect(actionsOf(run('a', [DYE, RINSE], events)).map((action) => action.step?.id)).toEqual(['dye', 'rinse']);
  });

  it('reads each control when the steps are done, then clears the station, then is nothing', () => {
    const control = {
      id: 'c1',
      subjectId: 's9',
      role: 'control',
      control: 'positive',
      label: 'K-1',
      description: 'tonsil',
      kind: 'control',
      takenAt: null,
      irreplaceable: false,
    } as const;
    const done = [started('dye', at(0)), ended('dye', at(20))];
    const standing = (events: RunEvent[]): BenchRun => ({ ...run('a', [DYE], events), subjects: [control] });
    expect(actionsOf(standing(done))).toMatchObject([{ kind: 'read-control', subject: 's9' }]);
    const read = [...done, event('control-read', { control: 's9', observed: 'bright nuclei', passed: true }, at(60))];
    expect(actionsOf(standing(read))).toMatchObject([{ kind: 'clear' }]);
    expect(actionsOf(standing([...read, event('cleared', {}, at(70))]))).toEqual([]);
  });

  it('only clears an abandoned run', () => {
    const events = [started('dye', at(0)), event('abandoned', { reason: 'dropped' }, at(4))];
    expect(actionsOf(run('a', [DYE], events))).toMatchObject([{ kind: 'clear', step: null }]);
  });
});

describe('what an accepted plan says', () => {
  const planned = (seconds: number) => [
    { step: 'dye', startsAt: plusMs(START, -5_000) },
    { step: 'rinse', startsAt: plusMs(START, seconds * 1000) },
    { step: null, startsAt: plusMs(START, 90_000) },
  ];
  const next = (seconds: number, more: Partial<Step> = {}) =>
    actionsOf({ ...run('a', [{ ...DYE, ...more }, RINSE], [started('dye', at(0))]), plan: planned(seconds) });

  it('is aimed at within the window, and stands beside the protocol’s own aim outside of it', () => {
    const aims = [15, 26, 30, 14, 31].map((seconds) => next(seconds)[0]?.targetMs);
    expect(aims).toEqual([15_000, 26_000, 30_000, 20_000, 20_000]);
    expect(next(31)[0]).toMatchObject({ planned: plusMs(START, 31_000), target: plusMs(START, 20_000) });
  });

  it('never tells an eye when to stop', () => {
    expect(next(26, { end: 'eye' })[0]).toMatchObject({ planned: plusMs(START, 26_000), targetMs: 20_000 });
  });

  it('gives a first step a time though nothing hurries it', () => {
    const waiting = { ...run('a', [DYE, RINSE], []), plan: planned(26) };
    expect(actionsOf(waiting)).toMatchObject([{ kind: 'start', since: null, planned: plusMs(START, -5_000) }]);
  });
});

describe('what is next over all runs', () => {
  it('puts the window that closes first on top, whichever run began first', () => {
    const slow = run('slow', [step('fix', [60, 300, 600])], [started('fix', at(0))], '2026-11-25T08:00:00.000Z');
    const quick = run('quick', [DYE], [started('dye', at(10))], '2026-11-25T09:00:00.000Z');
    const idle = run('idle', [DYE], [], '2026-11-25T07:00:00.000Z');
    expect(nextActions([slow, idle, quick], at(12)).map((action) => action.runId)).toEqual(['quick', 'slow', 'idle']);
  });

  it('puts what is closing and can still be saved before what is late, and that before what has time', () => {
    const late = run('late', [DYE], [started('dye', at(0))]);
    const open = run('open', [RINSE], [started('rinse', at(35))]);
    const closing = run('closing', [DYE], [started('dye', at(13))]);
    expect(nextActions([open, late, closing], at(40)).map((action) => action.runId)).toEqual([
      'closing',
      'late',
      'open',
    ]);
  });

  it('puts runs without any limit in the order of their starts', () => {
    const runs = ['09:30', '09:10', '09:20'].map((time) => run(time, [DYE], [], `2026-11-25T${time}:00.000Z`));
    expect(nextActions(runs, at(0)).map((action) => action.runId)).toEqual(['09:10', '09:20', '09:30']);
  });

  it('is ordered by time left among those with time, for any set of runs, and gives each run its action', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            start: fc.integer({ min: 0, max: 900 }),
            max: fc.option(fc.integer({ min: 1, max: 900 }), { nil: undefined }),
          }),
          { maxLength: 40 },
        ),
        (cases) => {
          const runs = cases.map(({ start, max }, n) =>
            run(`r${n}`, [step('s', [undefined, 1, max])], [started('s', at(start))]),
          );
          const actions = nextActions(runs, at(900));
          expect(actions.map((action) => action.runId).sort()).toEqual(runs.map(({ id }) => id).sort());
          const left = actions
            .filter((action) => ['early', 'open'].includes(phaseAt(action, passedMs(action.since!, at(900)))))
            .map(({ by }) => (by === null ? Infinity : Date.parse(by)));
          expect(left).toEqual([...left].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0)));
        },
      ),
    );
  });
});

describe('timers', () => {
  it('count by the steady clock in one session, whatever the wall clock does', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 86_400_000 }), fc.integer({ min: -1e10, max: 1e10 }), (ran, jump) => {
        const since = at(0);
        const now = { ...at(0), monotonicMs: 500_000 + ran, at: instantOf(Date.parse(START) + ran + jump) };
        expect(passedMs(since, now)).toBe(ran);
      }),
    );
  });

  it('count by the instants when the session changed in between', () => {
    expect(passedMs(at(0), { ...at(25, 'tab-2'), monotonicMs: 3 })).toBe(25_000);
  });

  it.each([
    [14_999, 'early'],
    [15_000, 'open'],
    [24_999, 'open'],
    [25_000, 'closing'],
    [30_000, 'closing'],
    [30_001, 'over'],
  ])('stand after %i ms of 15 to 30 s at "%s", ends of the window included', (passed, phase) => {
    expect(phaseAt({ minMs: 15_000, targetMs: 20_000, maxMs: 30_000 }, passed)).toBe(phase);
  });

  it('are always open where no window is set', () => {
    expect(phaseAt({ minMs: null, targetMs: 20_000, maxMs: null }, 10 ** 9)).toBe('open');
  });

  it('warn half way from target to end, between 5 and 60 s before it, never before the minimum', () => {
    expect(warningMs({ minMs: 15_000, targetMs: 20_000, maxMs: 30_000 })).toBe(5_000);
    expect(warningMs({ minMs: 0, targetMs: 60_000, maxMs: 900_000 })).toBe(60_000);
    expect(warningMs({ minMs: null, targetMs: 0, maxMs: 30_000 })).toBe(15_000);
    expect(warningMs({ minMs: 8_000, targetMs: 9_000, maxMs: 10_000 })).toBe(2_000);
  });

  it('tell each moment once, on whichever ticks they are looked at', () => {
    const [action] = actionsOf(run('a', [DYE], [started('dye', at(0))]));
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 40_000 }), { maxLength: 30 }), (gaps) => {
        const ticks = gaps.reduce<number[]>((all, gap) => [...all, (all.at(-1) ?? 0) + gap], [0]);
        const told = ticks.slice(1).flatMap((tick, n) => momentsBetween(action!, ticks[n]!, tick));
        const last = ticks.at(-1)!;
        const due = [
          ['from', 15_000],
          ['target', 20_000],
          ['closing', 25_000],
          ['over', 30_001],
        ] as const;
        expect(told).toEqual(due.filter(([, ms]) => ms <= last).map(([moment]) => moment));
      }),
    );
  });
});

describe('dips', () => {
  it.each([
    [0, 1],
    [1_999, 1],
    [2_000, 2],
    [19_999, 10],
    [60_000, 10],
    [-1, null],
  ])('are counted as time: after %i ms of ten in 20 s it is dip %j', (ms, dip) => {
    expect(dipAt({ ...DYE, dips: 10 }, ms)).toBe(dip);
  });

  it('are no matter of a step that says none', () => {
    expect(dipAt(DYE, 5_000)).toBeNull();
  });
});

describe('how long still', () => {
  it('adds what is left of the running step to the targets of those to come', () => {
    const { state } = run('a', [DYE, RINSE], [started('dye', at(0))]);
    expect(leftMs(state, at(5))).toBe(15_000 + 10_000);
    expect(leftMs(state, at(600))).toBe(10_000);
  });

  it('lies between the least and the most that the steps may take', () => {
    const { state } = run('a', [DYE, RINSE], [started('dye', at(0))]);
    expect([leftMs(state, at(5), 'least'), leftMs(state, at(5), 'most')]).toEqual([10_000 + 5_000, 25_000 + 30_000]);
  });

  it('is nothing once every step is over', () => {
    const { state } = run('a', [DYE], [started('dye', at(0)), ended('dye', at(20))]);
    expect(leftMs(state, at(20))).toBe(0);
  });
});
