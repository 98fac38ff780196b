import { describe, expect, it } from '@jest/globals';
import { planConsumption, type TakenFrom } from '../../../src/core/ledger/consumption.js';
import type { Protocol, StepTake } from '../../../src/core/protocol/protocol.js';
import type { RunEvent, RunEventData, RunEventKind } from '../../../src/core/run/events.js';
import { runState } from '../../../src/core/run/state.js';
import { plusMs } from '../../../src/core/time/instant.js';
import { shipped } from '../protocol/sample.js';

const START = '2026-11-25T09:00:00.000Z';

/** The events of one run, a minute apart. */
class Events {
  readonly all: RunEvent[] = [];

  add<K extends RunEventKind>(kind: K, data: RunEventData[K]): this {
    const seq = this.all.length + 1;
    const at = plusMs(START, seq * 60_000);
    const stamp = { device: 'd', monotonicMs: null, at, uncertaintyMs: 0, offsetMs: 0, roundTripMs: 0, late: false };
    this.all.push({ id: `e${seq}`, runId: 'r', seq, kind, data, stamp, personId: 'p', receivedAt: at } as RunEvent);
    return this;
  }

  step(id: string): this {
    return this.add('step-started', { step: id }).add('step-ended', { step: id });
  }
}

const bottle = (id: string, onHand: number, more: Partial<TakenFrom> = {}): [string, TakenFrom] => [
  id,
  { id, unit: 'mL', onHand, bath: false, ...more },
];

function taking(takes: StepTake): Protocol {
  const protocol = shipped('ihc-dab');
  for (const step of protocol.steps) delete step.takes;
  const antibody = protocol.steps.find(({ id }) => id === 'primary-antibody');
  if (antibody) antibody.takes = takes;
  return protocol;
}

const DROP: StepTake = { amount: 0.2, unit: 'mL', per: 'slide', status: 'common practice, no source' };

function plan(
  events: Events,
  containers: [string, TakenFrom][],
  { takes = DROP, slides = 2, booked = new Map<string, number>() } = {},
) {
  const protocol = taking(takes);
  return planConsumption({ protocol, state: runState(protocol, events.all), slides }, new Map(containers), booked);
}

const tray = () => new Events().add('tray-scanned', { reagent: 'primary-antibody', container: 'a' });

describe('what a run took', () => {
  it('is the step’s amount for each slide, and nothing for a step that was not done', () => {
    expect(plan(tray().step('primary-antibody'), [bottle('a', 1_000_000)])).toEqual([
      { containerId: 'a', micro: 400_000, shortMicro: 0 },
    ]);
    expect(plan(tray().step('polymer'), [bottle('a', 1_000_000)])).toEqual([]);
  });

  it('is taken once when it is per run, in the unit that the ledger counts in, and again when the step is done again', () => {
    const takes: StepTake = { ...DROP, amount: 150, unit: 'uL', per: 'run' };
    const again = tray()
      .step('primary-antibody')
      .add('step-started', { step: 'primary-antibody', again: true })
      .add('step-ended', { step: 'primary-antibody' });
    expect(plan(tray().step('primary-antibody'), [bottle('a', 1_000_000)], { takes })[0]?.micro).toBe(150_000);
    expect(plan(again, [bottle('a', 1_000_000)], { takes })[0]?.micro).toBe(300_000);
  });

  it('leaves out slides that were spoiled before', () => {
    const events = tray().add('subject-spoiled', { subject: 's1', what: 'dried' }).step('primary-antibody');
    expect(plan(events, [bottle('a', 1_000_000)], { slides: 3 })[0]?.micro).toBe(400_000);
    expect(plan(events, [bottle('a', 1_000_000)], { slides: 1 })).toEqual([]);
  });

  it('counts a step that was under way when the run was abandoned', () => {
    const events = tray().add('step-started', { step: 'primary-antibody' }).add('abandoned', { reason: 'core lost' });
    expect(plan(events, [bottle('a', 1_000_000)])[0]?.micro).toBe(400_000);
  });

  it('does not count a step whose start was withdrawn', () => {
    const events = tray().step('primary-antibody');
    events.add('corrected', { event: 'e2', withdrawn: true, reason: 'pressed by mistake' });
    expect(plan(events, [bottle('a', 1_000_000)])).toEqual([]);
  });

  it('books what there is on paper, keeps what fell short, and never refuses', () => {
    expect(plan(tray().step('primary-antibody'), [bottle('a', 300_000)])).toEqual([
      { containerId: 'a', micro: 300_000, shortMicro: 100_000 },
    ]);
    expect(plan(tray().step('primary-antibody'), [bottle('a', 0)])).toEqual([
      { containerId: 'a', micro: 0, shortMicro: 400_000 },
    ]);
  });

  it('empties the first of two bottles on paper before it turns to the one that took its place', () => {
    const events = tray()
      .add('step-started', { step: 'primary-antibody' })
      .add('tray-scanned', { reagent: 'primary-antibody', container: 'b' })
      .add('step-ended', { step: 'primary-antibody' });
    expect(plan(events, [bottle('a', 100_000), bottle('b', 1_000_000)])).toEqual([
      { containerId: 'a', micro: 100_000, shortMicro: 0 },
      { containerId: 'b', micro: 300_000, shortMicro: 0 },
    ]);
  });

  it('never debits a bath, and leaves out a unit that no longer fits', () => {
    const events = tray().step('primary-antibody');
    expect(plan(events, [bottle('a', 1_000_000, { bath: true })])).toEqual([]);
    expect(plan(events, [bottle('a', 1_000_000, { unit: 'g' })])).toEqual([]);
    expect(plan(events, [])).toEqual([]);
  });

  it('is booked once: what an earlier booking covered, shortages included, is left out', () => {
    const events = tray().step('primary-antibody');
    expect(plan(events, [bottle('a', 600_000)], { booked: new Map([['a', 400_000]]) })).toEqual([]);
    expect(plan(events, [bottle('a', 600_000)], { booked: new Map([['a', 150_000]]) })).toEqual([
      { containerId: 'a', micro: 250_000, shortMicro: 0 },
    ]);
  });
});
