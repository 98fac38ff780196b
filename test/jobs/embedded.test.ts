import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { HandClock } from '../../src/clock.js';
import { EMBEDDED_AT_ONCE, EmbeddedRunner } from '../../src/jobs/embedded.js';
import { describeOnEachDatabase, freshSqlite } from '../support/databases.js';
import { passing, until } from '../support/until.js';
import { Bench, type Kind } from './bench.js';
import { runnerConformance } from './conformance.js';

const embedded = (): Kind => ({ runner: (work) => new EmbeddedRunner(work), close: () => Promise.resolve() });

describeOnEachDatabase('Jobs', (fresh) => runnerConformance('done in the program', fresh, embedded, EMBEDDED_AT_ONCE));

describe('Jobs done in the program by a clock moved by hand', () => {
  const clock = new HandClock(Date.parse('2026-11-25T09:00:00.000Z'));
  let bench: Bench;
  let runner: EmbeddedRunner;

  beforeEach(async () => {
    bench = await Bench.open(
      await freshSqlite(),
      { ...embedded(), runner: (work) => (runner = new EmbeddedRunner(work)) },
      clock,
    );
  });

  afterEach(() => bench.close());

  it('are done when woken at their instant, not a millisecond before', async () => {
    await bench.started();
    await bench.act('dye', { inMs: 30_000 });
    clock.forward(29_999);
    runner.wake();
    await passing(200);
    expect(bench.targets).toEqual([]);
    clock.forward(1);
    runner.wake();
    await until('it is done', () => bench.calls.length === 1);
  });
});
