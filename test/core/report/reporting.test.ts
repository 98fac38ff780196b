import { describe, expect, it } from '@jest/globals';
import { reportedSteps } from '../../../src/core/report/steps.js';
import { runState } from '../../../src/core/run/state.js';
import { quantile } from '../../../src/core/statistics/sample.js';
import { measured } from '../../../src/core/time/measured.js';
import { endOfMonth, startOfMonth, wallTime } from '../../../src/core/time/zone.js';
import { monthAt, monthsLater } from '../../../src/web/month/months.js';
import { Scribe, shipped } from '../../support/bedside.js';

describe('What reports are made of', () => {
  // tzdata: New York is 5 hours behind in winter; on 2026-03-29 Lisbon goes from 00:00 to 01:00 UTC+1.
  it.each([
    ['2026-12-01T00:00:00.000Z', 'America/New_York', '2026-11-30 19:00:00', '2026-11'],
    ['2026-12-01T00:30:00.000Z', 'Atlantic/Azores', '2026-11-30 23:30:00', '2026-11'],
    ['2026-03-29T01:00:00.999Z', 'Europe/Lisbon', '2026-03-29 02:00:00', '2026-03'],
  ])('%s in %s is %s, of %s on the server and on the page', (at, zone, wall, month) => {
    expect(wallTime(at, zone)).toBe(wall);
    expect([startOfMonth(month, zone) <= at, at < endOfMonth(month, zone)]).toEqual([true, true]);
    expect(monthAt(at, zone)).toBe(month);
  });

  it('months follow each other without a gap, over the turn of a year too', () => {
    expect(endOfMonth('2026-12', 'Atlantic/Azores')).toBe(startOfMonth(monthsLater('2026-12', 1), 'Atlantic/Azores'));
    expect([monthsLater('2027-01', -1), monthsLater('2026-11', 14)]).toEqual(['2026-12', '2028-01']);
    expect(() => startOfMonth('2026-13', 'UTC')).toThrow('calendar has no such day');
  });

  it('nine of ten are counted, not reckoned between two', () => {
    const ten = [10, 1, 9, 2, 8, 3, 7, 4, 6, 5];
    expect([quantile(ten, 0.9), quantile(ten, 1), quantile([4], 0.9), quantile([1, 2], 0.5)]).toEqual([9, 10, 4, 1]);
  });

  it('an end before its start on one clock is no duration', () => {
    const scribe = new Scribe(shipped('ao-fresh'));
    const [early, late] = [scribe.stamp(), scribe.wait(20).stamp()];
    const window = { minMs: 10_000, maxMs: 30_000 };
    expect(measured(early, late, window, 100)).toMatchObject({ verdict: 'within', elapsed: { durationMs: 20_000 } });
    expect(measured(late, early, window, 100)).toEqual({ verdict: 'torn', elapsed: null });
  });

  it('a step tells its gap only when one came before it', () => {
    const protocol = shipped('ao-fresh');
    const scribe = new Scribe(protocol).steps();
    const steps = reportedSteps(runState(protocol, scribe.events), (id) => id, 100);
    expect(steps.map(({ performances }) => performances[0]?.gap?.elapsed?.durationMs ?? null)).toEqual(
      steps.map((_, n) => (n === 0 ? null : 2000)),
    );
  });
});
