import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computePlan } from '../../../src/core/plan/case.js';

interface Case {
  id: string;
  what: string;
  hands: number;
  horizonSec: number;
  busy: [number, number][];
  runs: {
    id: string;
    steps: { handsOnSec: number; minSec: number; maxSec: number | null; station?: string }[];
    earliestSec?: number;
    deadlineSec?: number;
    fixedStartSec?: number;
  }[];
  earliestStartOf?: string;
  expected: { feasible: boolean; makespanSec?: number; startSec?: number };
}

// Making and source stand in the file: optima proven by the constraint solver Gecode 6.2, some also by exhaustive branch
// and bound and by the integer solver CBC 2.10.8.
const { cases } = JSON.parse(readFileSync(new URL('../../vectors/plan.json', import.meta.url), 'utf8')) as {
  cases: Case[];
};

/** Every second at which more is open than there is room for; half-open intervals. */
function tooMuchAt(intervals: [number, number][], room: number): number[] {
  return intervals
    .map(([from]) => from)
    .filter((sec) => intervals.filter(([from, to]) => from <= sec && sec < to).length > room);
}

describe('the published plan cases', () => {
  it('are all here', () => {
    expect(cases).toHaveLength(28);
  });

  it.each(cases)('$id $what', ({ expected, ...given }) => {
    const result = computePlan(given);
    expect(result).toMatchObject({ id: given.id, ...expected });
    if (!result.feasible) return;
    expect(result.optimal).toBe(true);
    expect(result.boundSec).toBeLessThanOrEqual(result.makespanSec);

    // The problem's own words, second by second.
    const handsOn: [number, number][] = [...given.busy];
    const stays = new Map<string, [number, number][]>();
    const ends = given.runs.map(({ id, steps, earliestSec = 0, deadlineSec = given.horizonSec, fixedStartSec }) => {
      const starts = result.starts[id]!;
      expect(starts).toHaveLength(steps.length);
      expect(starts[0]).toBeGreaterThanOrEqual(earliestSec);
      if (fixedStartSec !== undefined) expect(starts[0]).toBe(fixedStartSec);
      steps.forEach(({ handsOnSec, minSec, maxSec, station }, k) => {
        const next = starts[k + 1];
        if (handsOnSec > 0) handsOn.push([starts[k]!, starts[k]! + handsOnSec]);
        if (next === undefined) return;
        expect(next - starts[k]!).toBeGreaterThanOrEqual(minSec);
        expect(next - starts[k]!).toBeLessThanOrEqual(maxSec ?? Infinity);
        if (station) {
          stays.set(station, [...(stays.get(station) ?? []), [starts[k]!, next + steps[k + 1]!.handsOnSec]]);
        }
      });
      const end = starts.at(-1)! + steps.at(-1)!.handsOnSec;
      expect(end).toBeLessThanOrEqual(deadlineSec);
      return end;
    });
    expect(tooMuchAt(handsOn, given.hands)).toEqual([]);
    for (const of of stays.values()) expect(tooMuchAt(of, 1)).toEqual([]);
    expect(Math.max(...ends)).toBe(result.makespanSec);
  });

  it('names what stands in the way of B07: two runs that need one pair of hands at once, each with its deadline', () => {
    const given = cases.find(({ id }) => id === 'B07')!;
    expect(computePlan(given)).toEqual({
      id: 'B07',
      feasible: false,
      obstacles: [
        { kind: 'run', run: 'a' },
        { kind: 'run', run: 'b' },
        { kind: 'deadline', run: 'a' },
        { kind: 'deadline', run: 'b' },
        { kind: 'hands' },
      ],
      minimal: true,
    });
  });
});

describe('a plan case that cannot be computed', () => {
  const steps = [
    { handsOnSec: 5, minSec: 20, maxSec: 30 },
    { handsOnSec: 5, minSec: 5, maxSec: null },
  ];
  const good = { id: 'X1', hands: 1, runs: [{ id: 'r', steps }] };

  it('is not this one', () => {
    expect(computePlan(good)).toEqual({
      id: 'X1',
      feasible: true,
      makespanSec: 25,
      boundSec: 25,
      optimal: true,
      starts: { r: [0, 20] },
    });
  });

  it.each<[string, unknown, string, RegExp]>([
    ['nothing', undefined, 'malformed-case', /must be an object/],
    ['no hands told', { ...good, hands: undefined }, 'malformed-case', /^hands is missing/],
    ['half a pair of hands', { ...good, hands: 0.5 }, 'malformed-case', /^hands is 0.5/],
    ['no runs told', { ...good, runs: undefined }, 'malformed-case', /^runs is missing/],
    ['a run without steps', { ...good, runs: [{ id: 'r', steps: [] }] }, 'bad-plan', /at least one step/],
    ['a misspelt limit', { ...good, runs: [{ id: 'r', steps, deadline: 9 }] }, 'malformed-case', /^runs.0.deadline/],
    ['one run twice', { ...good, runs: [...good.runs, ...good.runs] }, 'bad-plan', /^runs.1.id is "r" a second time/],
    [
      'half seconds',
      { ...good, runs: [{ id: 'r', steps: [{ ...steps[0], minSec: 2.5 }] }] },
      'bad-plan',
      /whole seconds/,
    ],
    ['an errand that is no interval', { ...good, busy: [[3]] }, 'malformed-case', /^busy.0/],
    ['an errand that ends before it starts', { ...good, busy: [[9, 3]] }, 'bad-plan', /^busy.0 ends at 3/],
    ['an unknown run to start', { ...good, earliestStartOf: 'q' }, 'bad-plan', /^earliestStartOf is "q"/],
  ])('%s', (_, input, code, message) => {
    expect(() => computePlan(input)).toThrow(
      expect.objectContaining({ code, message: expect.stringMatching(message) }),
    );
  });
});
