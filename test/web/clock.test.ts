import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { passedMs } from '../../src/core/run/next.js';
import { epochMs } from '../../src/core/time/instant.js';
import { BenchClock } from '../../src/web/parts/clock.js';

const TRUE_START = Date.parse('2026-11-25T09:00:00.000Z');

/** A device whose wall clock may be wrong and may be set, and whose steady clock stands still while it sleeps. */
class Device {
  trueMs = 0;
  slept = 0;
  constructor(public wrongBy: number) {}
  steadyMs = (): number => 1234.5 + this.trueMs - this.slept;
  wallMs = (): number => TRUE_START + this.trueMs + this.wrongBy;
  run(ms: number): void {
    this.trueMs += ms;
  }
  sleep(ms: number): void {
    this.trueMs += ms;
    this.slept += ms;
  }
  /** An answer of the server over a line that takes `there` and `back` ms. */
  ask = (there: number, back: number) => async (): Promise<{ t2: number; t3: number }> => {
    this.run(there);
    const now = TRUE_START + this.trueMs;
    this.run(back);
    return Promise.resolve({ t2: now, t3: now });
  };
}

function setUp(wrongBy = 0): { device: Device; clock: BenchClock; trueError(): number } {
  const device = new Device(wrongBy);
  let ids = 0;
  const clock = new BenchClock(device, 'bench-1', () => `session-${(ids += 1)}`);
  return { device, clock, trueError: () => Math.abs(epochMs(clock.now().at) - (TRUE_START + device.trueMs)) };
}

describe('bench clock', () => {
  it('claims no bound before any contact', () => {
    const { clock } = setUp(3_600_000);
    expect(clock.now()).toMatchObject({ uncertaintyMs: null, offsetMs: null, roundTripMs: null, late: false });
  });

  it('covers the true time by its stated uncertainty, however wrong the device and lopsided the line', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: -1e10, max: 1e10 }),
        fc.integer({ min: 0, max: 900 }),
        fc.integer({ min: 0, max: 900 }),
        fc.integer({ min: 0, max: 7_200_000 }),
        async (wrongBy, there, back, later) => {
          const { device, clock, trueError } = setUp(wrongBy);
          await clock.exchange(device.ask(there, back));
          device.run(later);
          const { uncertaintyMs, roundTripMs } = clock.now();
          expect(uncertaintyMs).not.toBeNull();
          expect(trueError()).toBeLessThanOrEqual(uncertaintyMs!);
          expect(roundTripMs).toBe(there + back);
        },
      ),
    );
  });

  it('keeps the better of two contacts until drift has used up its lead', async () => {
    const { device, clock } = setUp();
    await clock.exchange(device.ask(5, 5));
    await clock.exchange(device.ask(400, 10));
    expect(clock.now().roundTripMs).toBe(10);
    device.run(4 * 3_600_000);
    await clock.exchange(device.ask(400, 10));
    expect(clock.now().roundTripMs).toBe(410);
  });

  it('begins a new session without a bound when the wall clock is set, and shows the same time on', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: -1e10, max: 1e10 }).filter((ms) => Math.abs(ms) > 1000),
        fc.integer({ min: 0, max: 600_000 }),
        async (jump, ran) => {
          const { device, clock } = setUp();
          await clock.exchange(device.ask(5, 5));
          const before = clock.now();
          device.wrongBy += jump;
          device.run(ran);
          const after = clock.now();
          expect(after.clockSession).not.toBe(before.clockSession);
          expect(after.uncertaintyMs).toBeNull();
          // What a timer shows does not depend on the wall clock.
          expect(passedMs(before, after)).toBe(ran);
          await clock.exchange(device.ask(5, 5));
          expect(clock.now().uncertaintyMs).not.toBeNull();
        },
      ),
    );
  });

  it('finds the true time again after a sleep, at the next contact', async () => {
    const { device, clock, trueError } = setUp(-90_000);
    await clock.exchange(device.ask(5, 5));
    const start = clock.now();
    device.sleep(600_000);
    expect(clock.watch()).toBe(true);
    expect(clock.bounded).toBe(false);
    await clock.exchange(device.ask(5, 5));
    expect(trueError()).toBeLessThanOrEqual(clock.now().uncertaintyMs!);
    expect(passedMs(start, clock.now())).toBeGreaterThanOrEqual(600_000);
    expect(passedMs(start, clock.now())).toBeLessThanOrEqual(600_100);
  });

  it('keeps its session through a tab put to rest, in which both clocks run on', async () => {
    const { device, clock } = setUp();
    await clock.exchange(device.ask(5, 5));
    const { clockSession } = clock.now();
    device.run(3 * 3_600_000);
    expect(clock.now().clockSession).toBe(clockSession);
  });

  it('keeps its session while the wall clock is corrected slowly, as network time does', () => {
    const { device, clock } = setUp();
    const { clockSession } = clock.now();
    for (let minute = 0; minute < 60; minute += 1) {
      device.run(60_000);
      device.wrongBy += 30; // 500 ppm, the most that network time slews by
      clock.watch();
    }
    expect(clock.now().clockSession).toBe(clockSession);
  });

  it('throws away an exchange during which the device slept', async () => {
    const { device, clock } = setUp();
    await clock.exchange(async () => {
      device.sleep(5_000);
      return Promise.resolve({ t2: TRUE_START, t3: TRUE_START });
    });
    expect(clock.bounded).toBe(false);
  });
});
