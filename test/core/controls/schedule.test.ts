import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { ALWAYS_OPEN } from '../../../src/core/controls/calendar.js';
import type { CoveringResult, Use } from '../../../src/core/controls/coverage.js';
import { schedule, type ScheduleFacts } from '../../../src/core/controls/schedule.js';
import { computeSchedule } from '../../../src/core/controls/schedule-case.js';
import type { ControlPlan } from '../../../src/core/controls/planned.js';
import { Refusal } from '../../../src/core/refusal.js';

interface Case {
  id: string;
  what: string;
  source: string;
  expected: { tasks?: object[]; error?: { code: string } };
}

const { cases } = JSON.parse(readFileSync('test/vectors/schedule.json', 'utf8')) as { cases: Case[] };

describe('The schedule of controls', () => {
  // Source: test/vectors/schedule.json, each case with its clause.
  it.each(cases.map((each): [string, Case] => [`${each.id}: ${each.what} (${each.source})`, each]))(
    '%s',
    (_name, { expected, what: _what, source: _source, ...given }) => {
      const { tasks, error } = expected;
      if (tasks) {
        expect(computeSchedule(given).tasks).toMatchObject(tasks);
        return;
      }
      const refused = (() => {
        try {
          return computeSchedule(given);
        } catch (thrown) {
          return thrown as Refusal;
        }
      })();
      expect(refused).toBeInstanceOf(Refusal);
      expect(refused).toMatchObject(error ?? {});
    },
  );
});

const plan: ControlPlan = {
  protocolId: 'he',
  use: { words: 'one run', counts: 'run' },
  controls: [
    {
      id: 'daily',
      kind: 'positive',
      material: 'appendix',
      expected: 'crisp',
      criteria: [],
      required: true,
      clocks: [
        { when: 'each day of use', clause: '' },
        { when: 'each week of use', clause: '' },
        { when: 'every n slides', n: 20, clause: '' },
        { when: 'every n days', n: 3, clause: '' },
      ],
      secondReader: false,
      pictures: false,
    },
  ],
};

const WINDOW = { from: '2026-11-23', to: '2026-11-29' };
const minute = fc.integer({ min: 0, max: 7 * 24 * 60 - 1 });
const stainedAt = (m: number) => {
  const at = new Date(Date.parse('2026-11-23T00:00:00.000Z') + m * 60_000).toISOString();
  return { at, day: at.slice(0, 10), week: '2026-W48', month: '2026-11' };
};
const made = { revisionId: 'v', station: null, lots: {} };
const useAt = (m: number): Use => ({
  ...made,
  ...stainedAt(m),
  runId: `u${m}`,
  slides: 4,
  stains: [],
  newSince: null,
  servicedAt: null,
});
const resultAt = (m: number): CoveringResult => {
  const stained = stainedAt(m);
  return { ...made, ...stained, id: `c${m}`, requirement: 'daily', runId: `q${m}`, readAt: stained.at, passed: true };
};
const facts = (uses: number[], results: number[]): ScheduleFacts => ({
  plan,
  since: '2026-11-01T00:00:00.000Z',
  uses: uses.map(useAt),
  results: results.map(resultAt),
  lots: [],
  services: [],
  calendar: ALWAYS_OPEN,
  zone: 'UTC',
});
const minutes = fc.uniqueArray(minute, { maxLength: 12 });

describe('The schedule of controls, always', () => {
  it('names each task once, whatever the order of facts', () => {
    fc.assert(
      fc.property(minutes, minutes, minute, (uses, results, now) => {
        const { at } = stainedAt(now);
        const keys = schedule(facts(uses, results), WINDOW, at).map(({ key }) => key);
        expect(new Set(keys).size).toBe(keys.length);
        const turned = schedule(facts([...uses].reverse(), [...results].reverse()), WINDOW, at);
        expect(turned.map(({ key }) => key)).toEqual(keys);
      }),
    );
  });

  it('leaves no more runs without a control when another one passed', () => {
    fc.assert(
      fc.property(minutes, minutes, minute, (uses, results, more) => {
        const now = '2026-11-30T00:00:00.000Z';
        const open = (all: number[]) =>
          new Set(
            schedule(facts(uses, all), WINDOW, now)
              .filter(({ clock }) => clock.includes('of use'))
              .flatMap(({ uncovered, clock }) => uncovered.map((run) => `${clock} ${run}`)),
          );
        const before = open(results);
        expect([...open([...results, more])].every((each) => before.has(each))).toBe(true);
      }),
    );
  });
});
