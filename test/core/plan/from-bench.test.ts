import { describe, expect, it } from '@jest/globals';
import { answerForBench, checkBenchRuns, startedOf } from '../../../src/core/plan/bench-plan.js';
import { type Bench, goingRun, MOST_RUNS, problemOfBench } from '../../../src/core/plan/from-bench.js';
import { plan } from '../../../src/core/plan/plan.js';
import type { Protocol, Step } from '../../../src/core/protocol/protocol.js';
import type { RunEvent } from '../../../src/core/run/events.js';

const at = (sec: number): string => new Date(Date.parse('2026-11-25T09:00:00.000Z') + sec * 1000).toISOString();

function step(id: string, time: Partial<Step['time']>, handsOn: Step['handsOn'], more: Partial<Step> = {}): Step {
  return {
    id,
    action: `Do ${id}`,
    vessel: 'dish',
    time: { target: 60, unit: 's', status: 'proposal', window: 'proposal', ...time },
    end: 'clock',
    critical: false,
    handsOn,
    sources: [],
    ...more,
  };
}

function protocol(id: string, ...steps: Step[]): Protocol {
  return { id, title: `Stain ${id}`, steps } as Protocol;
}

const quick = protocol(
  'quick',
  step('dye', { min: 60, target: 60, max: 70 }, { start: 10, end: 5 }, { reagent: 'dye' }),
  step('rinse', { min: 20, target: 30, max: 40 }, { start: 5, end: 5 }),
);

function bench(changes: Partial<Bench> = {}): Bench {
  return {
    at: at(0),
    wanted: [{ id: 'a', protocol: quick }],
    going: [],
    hands: [{ name: 'Kestrel', from: at(0), to: at(3600) }],
    places: [],
    ...changes,
  };
}

const planned = (of: Bench) =>
  answerForBench(
    of,
    plan(problemOfBench(of), () => true),
  );

describe('A bench as a problem of the planner', () => {
  it('joins the end of a step and the start of the next into one moment', () => {
    // By hand: the rinse begins 5 s after hands took the rack out of the dye, so that its window lies 5 s further on.
    expect(problemOfBench(bench({ places: [{ reagent: 'dye', racks: 1 }] })).runs[0]?.steps).toEqual([
      { handsOnSec: 10, minSec: 60, maxSec: 70, targetSec: 60, station: 'dye' },
      { handsOnSec: 10, minSec: 25, maxSec: 45, targetSec: 35 },
      { handsOnSec: 5, minSec: 0, maxSec: null },
    ]);
  });

  it.each<[string, Partial<Bench>, RegExp]>([
    ['no hands', { hands: [] }, /No hands/],
    ['nothing to do', { wanted: [] }, /no run to plan/],
    ['hands that leave before they come', { hands: [{ name: 'Kestrel', from: at(60), to: at(0) }] }, /not after/],
    [
      'too many runs',
      { wanted: Array.from({ length: 500 }, (_, n) => ({ id: `${n}`, protocol: quick })) },
      new RegExp(`500 runs.*at most ${MOST_RUNS}`),
    ],
    [
      'a window that contradicts itself',
      { wanted: [{ id: 'a', protocol: protocol('x', step('dye', { min: 70, max: 60 }, { start: 1, end: 1 })) }] },
      /“Do dye”.*contradicts itself/,
    ],
    [
      'a step longer than a day',
      { wanted: [{ id: 'a', protocol: protocol('x', step('fix', { target: 2, unit: 'd' }, { start: 1, end: 1 })) }] },
      /longer than a day/,
    ],
    [
      'hands busy for longer than a step lasts',
      { wanted: [{ id: 'a', protocol: protocol('x', step('dip', { max: 60 }, { start: 90, end: 1 })) }] },
      /keeps hands busy for 90 s/,
    ],
    [
      'a transfer longer than its gap',
      {
        wanted: [
          {
            id: 'a',
            protocol: protocol(
              'x',
              step('dye', {}, { start: 1, end: 9 }),
              step('rinse', {}, { start: 1, end: 1 }, { gap: { max: 5, unit: 's', status: 'proposal', why: 'dries' } }),
            ),
          },
        ],
      },
      /hands take 9 s, and at most 5 s may pass/,
    ],
    [
      'a deadline before the start',
      { wanted: [{ id: 'a', protocol: quick, earliestAt: at(60), deadlineAt: at(60) }] },
      /give a later end/,
    ],
    [
      'hands far ahead',
      { hands: [{ name: 'Kestrel', from: at(0), to: '9999-12-31T23:59:59.999Z' }] },
      /31 days ahead; hands\.0\.to is 9999-12-31T23:59:59\.999Z\./,
    ],
    [
      'a run far ahead',
      { wanted: [{ id: 'a', protocol: quick, earliestAt: at(31 * 86_400 + 1) }] },
      /31 days ahead; wanted\.0\.earliestAt is/,
    ],
  ])('refuses %s', (_, changes, message) => {
    expect(() => problemOfBench(bench(changes))).toThrow(message);
  });
});

describe('A plan of the bench', () => {
  const two = bench({
    wanted: [
      { id: 'a', protocol: quick },
      { id: 'b', protocol: quick },
    ],
  });

  it('ends as early as the best of all starts, tried one by one', () => {
    // Brute force over whole seconds: with the windows at their shortest or longer, the second rack as early as it can.
    let best = Infinity;
    for (let dyeA = 60; dyeA <= 70; dyeA++) {
      for (let rinseA = 25; rinseA <= 45; rinseA++) {
        // No rack takes less than 90 s.
        for (let b = 0; b + 90 < best && b < 130; b++) {
          for (let dyeB = 60; dyeB <= 70; dyeB++) {
            for (let rinseB = 25; rinseB <= 45; rinseB++) {
              const moments = [
                [0, 10],
                [dyeA, 10],
                [dyeA + rinseA, 5],
                [b, 10],
                [b + dyeB, 10],
                [b + dyeB + rinseB, 5],
              ].sort(([x], [y]) => x! - y!);
              const apart = moments.every(([from], n) => n === 0 || from! >= moments[n - 1]![0]! + moments[n - 1]![1]!);
              const last = moments.at(-1)!;
              if (apart) best = Math.min(best, last[0]! + last[1]!);
            }
          }
        }
      }
    }
    const found = planned(two);
    expect(found).toMatchObject({ answer: 'plan', optimal: true, endsAt: at(best), boundAt: at(best) });
    expect(found.says).toMatch(/^Proven/);
  });

  it('goes back to the checker as it came, and is refused when a moment is moved onto another', () => {
    const found = planned(two);
    if (found.answer !== 'plan') throw new Error(found.says);
    const proposed = found.runs.map(({ id, moments }) => ({
      id,
      startsAt: moments.map(({ startsAt }) => startsAt),
      hands: moments.map(({ hands }) => hands),
    }));
    expect(checkBenchRuns(two, proposed)).toEqual([]);
    const clash = proposed.map((run) => ({ ...run, startsAt: proposed[0]!.startsAt }));
    expect(checkBenchRuns(two, clash).map(({ kind }) => kind)).toContain('hands');
    expect(found.runs[0]?.moments.map(({ step, action, handsOnSec }) => [step, action, handsOnSec])).toEqual([
      ['dye', 'Do dye', 10],
      ['rinse', 'Do rinse', 10],
      [null, 'Take out of the last step', 5],
    ]);
  });

  it('says which limits stand in the way', () => {
    const found = planned(bench({ wanted: [{ id: 'a', protocol: quick, deadlineAt: at(60) }] }));
    expect(found).toMatchObject({ answer: 'none', says: expect.stringMatching(/“Stain quick” .*deadline/) });
    const gone = planned(bench({ hands: [{ name: 'Kestrel', from: at(0), to: at(30) }] }));
    expect(gone).toMatchObject({ answer: 'none', says: expect.stringMatching(/Kestrel leaves the bench too early/) });
  });

  it('takes turns at a place that holds one rack', () => {
    const found = planned({ ...two, places: [{ reagent: 'dye', racks: 1 }] });
    if (found.answer !== 'plan') throw new Error(found.says);
    const [first, second] = found.runs;
    // The first rack is out of the dye once hands have moved it on: 60 s and 10 s.
    expect(Date.parse(second!.startsAt) - Date.parse(first!.startsAt)).toBeGreaterThanOrEqual(70_000);
  });

  it('never moves what has begun, and comes to an overdue step first', () => {
    const event = (kind: string, sec: number, seq: number): RunEvent =>
      ({
        id: `e${seq}`,
        runId: 'go',
        seq,
        kind,
        data: { step: 'dye', judgedBy: null },
        stamp: { at: at(sec), monotonicMs: null },
        personId: 'p',
      }) as unknown as RunEvent;
    const going = goingRun('go', quick, [event('step-started', -90.5, 1)]);
    expect(going).toMatchObject({ begunAt: [at(-90.5)], lastEnded: false });
    const late = bench({ going: [going!] });
    const found = planned(late);
    if (found.answer !== 'plan') throw new Error(found.says);
    const run = found.runs.find(({ id }) => id === 'go');
    expect(run).toMatchObject({ going: true });
    expect(run?.moments.map(({ begun }) => begun)).toEqual([true, false, false]);
    expect(Math.abs(Date.parse(run!.moments[0]!.startsAt) - Date.parse(at(-90.5)))).toBeLessThan(1000);
    expect(Date.parse(run!.moments[1]!.startsAt) - Date.parse(at(0))).toBeLessThan(1000);
    const back = found.runs.map(({ id, moments }) => ({
      id,
      startsAt: moments.map(({ startsAt }) => startsAt),
      hands: moments.map(({ hands }) => hands),
    }));
    expect(checkBenchRuns(late, back)).toEqual([]);
    const moved = back.map((each) =>
      each.id === 'go' ? { ...each, startsAt: [at(-30), ...each.startsAt.slice(1)] } : each,
    );
    expect(checkBenchRuns(late, moved).map(({ kind }) => kind)).toContain('begun');

    const ended = goingRun('go', quick, [event('step-started', -90, 1), event('step-ended', -20, 2)]);
    expect(ended).toMatchObject({ lastEnded: true });
    expect(planned(bench({ going: [ended!] }))).toMatchObject({ answer: 'plan' });
  });
});

it('Started runs go to planned ones of their revision in the order of time', () => {
  const wanted = [
    { id: 'late', revisionId: 'r', startsAt: at(60) },
    { id: 'early', revisionId: 'r', startsAt: at(0) },
    { id: 'other', revisionId: 's', startsAt: at(0) },
  ];
  const runs = [
    { id: 'x', revisionId: 'r', startedAt: at(70) },
    { id: 'y', revisionId: 't', startedAt: at(5) },
  ];
  expect([...startedOf(wanted, runs)]).toEqual([['early', 'x']]);
});
