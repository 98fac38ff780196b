import { expect, it } from '@jest/globals';
import { stepUses } from '../../../src/core/run/bath-uses.js';
import type { BenchStamp, RunEvent, RunEventData, RunEventKind } from '../../../src/core/run/events.js';
import { runState } from '../../../src/core/run/state.js';
import { shipped } from '../protocol/sample.js';

const stamp = (second: number): BenchStamp => ({
  device: 'bench',
  monotonicMs: second * 1000,
  at: new Date(Date.parse('2026-11-25T09:00:00.000Z') + second * 1000).toISOString(),
  uncertaintyMs: 0,
  offsetMs: 0,
  roundTripMs: 0,
  late: false,
});

it('tells which containers the slides went through, at which step and when', () => {
  const protocol = shipped('ao-fresh');
  const step = protocol.steps.find(({ reagent }) => reagent !== undefined)!;
  const reagent = step.reagent!;
  let seq = 0;
  const event = <K extends RunEventKind>(kind: K, second: number, data: RunEventData[K]): RunEvent => {
    seq += 1;
    const id = `e${seq}`;
    return {
      id,
      runId: 'r',
      seq,
      kind,
      data,
      stamp: stamp(second),
      personId: 'p',
      receivedAt: stamp(second).at,
    } as RunEvent;
  };
  const events = [
    event('tray-scanned', 0, { reagent, container: 'first' }),
    event('step-started', 10, { step: step.id }),
    event('tray-scanned', 15, { reagent, container: 'second' }),
    event('step-ended', 20, { step: step.id }),
    event('tray-scanned', 25, { reagent, container: 'third' }),
  ];
  const uses = (list: RunEvent[]) =>
    stepUses(runState(protocol, list)).map((use) => [use.container, use.step, use.at.slice(17, 19)]);
  expect(uses(events)).toEqual([
    ['first', `${step.id} 1`, '10'],
    ['second', `${step.id} 1`, '15'],
  ]);
  expect(uses([...events, event('step-started', 30, { step: step.id, again: true })])).toContainEqual([
    'third',
    `${step.id} 2`,
    '30',
  ]);
  expect(uses([...events, event('corrected', 40, { event: 'e3', withdrawn: true, reason: 'other jar' })])).toEqual([
    ['first', `${step.id} 1`, '10'],
  ]);
});
