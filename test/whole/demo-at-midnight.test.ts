import { describe, expect, it } from '@jest/globals';
import { LABORATORY } from '../../src/demo/laboratory.js';
import { setUpBeforeMs } from '../../src/demo/yesterday.js';
import { epochMs, instantOf, plusMs } from '../../src/core/time/instant.js';
import { endOfDay, localDay } from '../../src/core/time/zone.js';
import { startDemo } from '../support/demo.js';

const HOUR_MS = 3_600_000;

describe('The demo begins whatever the clock says', () => {
  it('plays its day before within one day of the laboratory, at every minute of a day', () => {
    const outside: string[] = [];
    for (let minute = 0; minute < 1440; minute += 1) {
      const now = instantOf(Date.UTC(2026, 10, 26, 0, minute));
      const beforeMs = setUpBeforeMs(now, LABORATORY.zone);
      const began = plusMs(now, -beforeMs);
      const leftMs = epochMs(endOfDay(localDay(began, LABORATORY.zone), LABORATORY.zone)) - epochMs(began);
      if (leftMs < 3 * HOUR_MS || beforeMs < 26 * HOUR_MS || beforeMs > 29 * HOUR_MS) outside.push(now);
    }
    expect(outside).toEqual([]);
  });

  // 26 hours before, its racks would have stood in a bath filtered for the day while that day ended.
  it('starts when 26 hours ago was an hour before midnight', async () => {
    const demo = await startDemo(new Date('2026-11-26T02:40:00Z'));
    try {
      expect((await fetch(`${demo.url}/health/live`)).status).toBe(200);
    } finally {
      await demo.stop();
    }
  });
});
