import { describe, expect, it } from '@jest/globals';
import { checkPlan } from '../../../src/core/plan/check.js';
import type { PlanProblem, Schedule } from '../../../src/core/plan/problem.js';

// By hand from the definition of the problem; no plan here comes from the planner.
const problem: PlanProblem = {
  nowSec: 0,
  horizonSec: 500,
  hands: [
    { id: 'left', away: [{ fromSec: 100, toSec: 200 }] },
    { id: 'right', away: [] },
  ],
  stations: [{ id: 'oven', capacity: 1 }],
  runs: [
    {
      id: 'a',
      earliestSec: 10,
      latestStartSec: 40,
      deadlineSec: 300,
      steps: [
        { handsOnSec: 20, minSec: 60, maxSec: 80, station: 'oven' },
        { handsOnSec: 20, minSec: 20, maxSec: null },
      ],
    },
    {
      id: 'b',
      steps: [
        { handsOnSec: 20, minSec: 60, maxSec: 80, station: 'oven' },
        { handsOnSec: 0, minSec: 0, maxSec: null },
      ],
    },
  ],
};
const good: Schedule = [
  { run: 'a', startsSec: [10, 70], hands: ['left', 'left'] },
  { run: 'b', startsSec: [90, 150], hands: ['right', null] },
];

function withA(startsSec: number[], hands: (string | null)[] = ['left', 'left']): Schedule {
  return [{ run: 'a', startsSec, hands }, good[1]!];
}

function kinds(schedule: Schedule, of = problem): string[] {
  return checkPlan(of, schedule).map(({ kind, run, step }) => `${kind} ${run} ${step}`);
}

describe('the checker of plans', () => {
  it('lets pass what holds, with touching moments and touching stays', () => {
    expect(checkPlan(problem, good)).toEqual([]);
  });

  it.each<[string, Schedule, string[]]>([
    ['a start before the earliest', withA([9, 70]), ['too early a 0']],
    ['a start after the latest', withA([41, 110], ['left', 'right']), ['too late a 0', 'station a 0', 'station b 0']],
    ['a soak too short', withA([11, 70]), ['too short a 0']],
    [
      'a soak too long',
      withA([10, 91]),
      ['too long a 0', 'away a 1', 'hands a 1', 'hands b 0', 'station a 0', 'station b 0'],
    ],
    [
      'an end after the deadline',
      withA([10, 281], ['left', 'right']),
      ['too long a 0', 'too late a 1', 'station a 0', 'station b 0'],
    ],
    ['hands that are away', withA([30, 100]), ['away a 1', 'hands a 1', 'hands b 0', 'station a 0', 'station b 0']],
    ['hands that are nobody', withA([10, 70], ['left', 'third']), ['hands a 1']],
    ['no hands where some are needed', withA([10, 70], ['left', null]), ['hands a 1']],
    [
      'the same hands twice at a time',
      withA([20, 80], ['left', 'right']),
      ['hands a 1', 'hands b 0', 'station a 0', 'station b 0'],
    ],
    ['half a second', withA([10.5, 70.5]), ['step a null']],
    ['a step too few', withA([10]), ['step a null']],
    ['a run that is none', [...good, { run: 'c', startsSec: [], hands: [] }], ['run c null']],
    ['a run planned twice', [...good, good[0]!], ['run a null', 'run a null']],
    ['a run left out', [good[0]!], ['step b null']],
  ])('finds %s', (_, schedule, found) => {
    expect(kinds(schedule).toSorted()).toEqual(found.toSorted());
  });

  it('finds more at a time than there are hands, counting errands and absences once', () => {
    const busy = [{ fromSec: 95, toSec: 120 }];
    expect(kinds(good, { ...problem, busy })).toEqual(['hands b 0']);
    const twice = {
      ...problem,
      hands: [
        {
          id: 'left',
          away: [
            { fromSec: 100, toSec: 200 },
            { fromSec: 90, toSec: 110 },
          ],
        },
        problem.hands[1]!,
      ],
    };
    expect(kinds(good, twice)).toEqual([]);
  });

  it('holds what has begun to what it was, and judges it no further', () => {
    const [a, b] = problem.runs;
    const begun = { ...problem, nowSec: 60, runs: [{ ...a!, earliestSec: 200, begunSec: [10] }, b!] };
    expect(kinds(good, begun)).toEqual([]);
    expect(kinds(withA([11, 71]), begun)).toEqual(['begun a 0', 'station a 0', 'station b 0']);
    expect(kinds(good, { ...begun, nowSec: 71 })).toEqual(['too early a 1']);
  });

  it('counts two steps in a row at one station as one stay', () => {
    const steps = [
      { handsOnSec: 5, minSec: 10, maxSec: 10, station: 'oven' },
      { handsOnSec: 5, minSec: 10, maxSec: 10, station: 'oven' },
      { handsOnSec: 5, minSec: 5, maxSec: null },
    ];
    const hands = [{ id: 'h', away: [] }];
    const of = {
      hands,
      stations: [{ id: 'oven', capacity: 1 }],
      runs: [
        { id: 'a', steps },
        { id: 'b', steps },
      ],
    };
    const at = (run: string, sec: number) => ({ run, startsSec: [sec, sec + 10, sec + 20], hands: ['h', 'h', 'h'] });
    expect(kinds([at('a', 0), at('b', 25)], of)).toEqual([]);
    expect(kinds([at('a', 0), at('b', 24)], of).filter((kind) => kind.startsWith('station'))).toEqual([
      'station a 0',
      'station b 0',
    ]);
  });
});
