import { describe, expect, it } from '@jest/globals';
import { publishedPlan } from '../../../src/core/controls/plan.js';
import { finding } from '../../../src/core/gate/make-finding.js';
import type { Step } from '../../../src/core/protocol/protocol.js';
import { containersFor, runState } from '../../../src/core/run/state.js';
import { checkEvent, checkNewRun, type RunContext } from '../../../src/core/run/accept.js';
import type { RunEvent } from '../../../src/core/run/events.js';
import { Refusal } from '../../../src/core/refusal.js';
import { Scribe, shipped, START } from '../../support/bedside.js';

const protocol = shipped('ao-fresh');

describe('The state of a run', () => {
  it('follows its steps', () => {
    const scribe = new Scribe(protocol);
    expect(runState(protocol, [])).toMatchObject({ running: [], next: { step: { id: 'receive' } }, cleared: false });
    scribe.add('step-started', { step: 'receive' });
    const during = runState(protocol, scribe.events);
    expect(during.running.map(({ step }) => step.id)).toEqual(['receive']);
    expect(during.next?.step.id).toBe('rinse-blood');
    scribe.wait(20).add('step-ended', { step: 'receive' });
    expect(runState(protocol, scribe.events).running).toEqual([]);
  });

  it('leaves out what was withdrawn and moves what was corrected, last word first', () => {
    const scribe = new Scribe(protocol);
    const started = scribe.add('step-started', { step: 'receive' });
    scribe.wait(20);
    const ended = scribe.add('step-ended', { step: 'receive' });
    scribe.add('corrected', { event: ended.id, withdrawn: true, reason: 'pressed by mistake' });
    expect(runState(protocol, scribe.events).running).toHaveLength(1);
    scribe.add('corrected', {
      event: ended.id,
      at: '2026-11-25T09:00:15.000Z',
      uncertaintyMs: 500,
      reason: 'seen on the wall clock',
    });
    const state = runState(protocol, scribe.events);
    expect(state.steps[0]?.performances[0]).toMatchObject({
      started: { eventId: started.id },
      ended: { stamp: { at: '2026-11-25T09:00:15.000Z', uncertaintyMs: 500, monotonicMs: null, late: true } },
    });
  });

  it('knows which container served a step, with an exchange in the middle', () => {
    const scribe = new Scribe(protocol);
    scribe.add('tray-scanned', { reagent: 'saline', container: 'first' });
    scribe.add('tray-scanned', { reagent: 'saline', container: 'alone', step: 'blot-and-mount' });
    scribe.wait(10).add('tray-scanned', { reagent: 'saline', container: 'second' });
    const { tray } = runState(protocol, scribe.events);
    const [receive, , , , mount] = protocol.steps;
    if (!receive || !mount) throw new Error('the protocol has these steps');
    const at = (seconds: number): string => new Date(Date.parse(START) + seconds * 1000).toISOString();
    expect(
      containersFor(tray, receive, at(5), at(20)).map(({ place, from, until }) => [place.container, from, until]),
    ).toEqual([
      ['first', at(5), at(10)],
      ['second', at(10), at(20)],
    ]);
    expect(containersFor(tray, receive, at(12), at(20)).map(({ place }) => place.container)).toEqual(['second']);
    expect(containersFor(tray, mount, at(5), at(20)).map(({ place }) => place.container)).toEqual(['alone']);
  });
});

describe('What a bench may record', () => {
  const context = (
    events: RunEvent[],
    now = '2026-11-25T10:00:00.000Z',
    findings: RunContext['findings'] = [],
  ): RunContext => ({
    protocol,
    subjects: [
      { id: 's1', subjectId: 'core-1', role: 'patient' },
      { id: 's2', subjectId: 'gel-1', role: 'control', control: 'negative' },
    ],
    controls: publishedPlan(protocol).controls,
    state: runState(protocol, events),
    events,
    knownContainer: (id) => id === 'known',
    findings,
    personId: 'tansy',
    now,
  });
  const refusal = (act: () => void): Refusal => {
    try {
      act();
    } catch (error) {
      if (error instanceof Refusal) return error;
      throw error;
    }
    throw new Error('nothing was refused');
  };

  it('starts a step once, and again when it is said', () => {
    const scribe = new Scribe(protocol);
    scribe.add('step-started', { step: 'receive' });
    expect(
      refusal(() => checkEvent('step-started', { step: 'receive' }, scribe.stamp(), context(scribe.events))),
    ).toMatchObject({
      kind: 'conflict',
      code: 'step-running',
    });
    scribe.wait(20).add('step-ended', { step: 'receive' });
    expect(
      refusal(() => checkEvent('step-started', { step: 'receive' }, scribe.stamp(), context(scribe.events))),
    ).toMatchObject({ code: 'step-done' });
    expect(() =>
      checkEvent('step-started', { step: 'receive', again: true }, scribe.stamp(), context(scribe.events)),
    ).not.toThrow();
  });

  it('ends no step that is not running, and none before it started', () => {
    const scribe = new Scribe(protocol);
    expect(refusal(() => checkEvent('step-ended', { step: 'receive' }, scribe.stamp(), context([])))).toMatchObject({
      code: 'step-not-running',
    });
    const early = scribe.stamp();
    scribe.wait(5).add('step-started', { step: 'receive' });
    expect(
      refusal(() => checkEvent('step-ended', { step: 'receive' }, early, context(scribe.events))).message,
    ).toContain('cannot lie before');
  });

  it('refuses a time in the future, but not one that another clock may explain', () => {
    const scribe = new Scribe(protocol).wait(10);
    const now = START;
    expect(
      refusal(() => checkEvent('step-started', { step: 'receive' }, scribe.stamp(), context([], now))).message,
    ).toContain('lies in the future');
    const unsure = scribe.stamp({ uncertaintyMs: 9000 });
    expect(() => checkEvent('step-started', { step: 'receive' }, unsure, context([], now))).not.toThrow();
    const nextYear = { ...scribe.stamp({ uncertaintyMs: 1e12 }), at: '2027-11-25T10:00:00.000Z' };
    expect(
      refusal(() => checkEvent('step-started', { step: 'receive' }, nextYear, context([], now))).message,
    ).toContain('lies in the future');
  });

  it('settles only what the gate finds now, never beforehand', () => {
    const stamp = new Scribe(protocol).stamp();
    const long = finding('step-long', {
      about: 'dye',
      step: { ...(protocol.steps[0] as Step), offence: 'caution' },
      what: 'Too long.',
    });
    const unsure = finding('step-undecided', { about: 'dye', what: 'Perhaps too long.' });
    const found = context([], undefined, [long, unsure]);
    const resolved = { finding: unsure.id, conforms: true, reason: 'seen on the wall clock' };
    expect(() => checkEvent('acknowledged', { finding: long.id }, stamp, found)).not.toThrow();
    expect(() => checkEvent('resolved', resolved, stamp, found)).not.toThrow();
    expect(refusal(() => checkEvent('acknowledged', { finding: long.id }, stamp, context([]))).message).toBe(
      'The gate has no caution "step-long:dye" now; it has none.',
    );
    expect(refusal(() => checkEvent('resolved', resolved, stamp, context([], undefined, [long]))).message).toBe(
      'The gate has no undecided finding "step-undecided:dye" now; it has none.',
    );
    expect(
      refusal(() => checkEvent('resolved', { ...resolved, finding: 'gap-undecided:dye' }, stamp, found)).message,
    ).toContain('it has step-undecided:dye');
  });

  it('takes no temperature that no bath can have', () => {
    const stamp = new Scribe(protocol).stamp();
    const read = (value: number, unit: string) => () =>
      checkEvent('temperature-read', { step: 'dye', value, unit }, stamp, context([]));
    expect(read(22.5, 'Cel')).not.toThrow();
    // Absolute zero is 0 K, -273.15 Cel, -459.67 [degF] (BIPM, The International System of Units; common facts, from memory).
    expect(read(0, 'K')).not.toThrow();
    for (const [value, unit] of [
      [-0.01, 'K'],
      [-273.16, 'Cel'],
      [-459.7, '[degF]'],
      [1e308, 'Cel'],
    ] as const)
      expect(refusal(read(value, unit)).problems).toMatchObject([{ at: 'data.value' }]);
  });

  it('names what is right when a step, reagent, container, subject or event is unknown', () => {
    const stamp = new Scribe(protocol).stamp();
    const all = context([]);
    expect(refusal(() => checkEvent('step-started', { step: 'fry' }, stamp, all)).message).toContain(
      'receive, rinse-blood',
    );
    expect(
      refusal(() => checkEvent('tray-scanned', { reagent: 'xylene', container: 'known' }, stamp, all)).message,
    ).toContain('saline');
    expect(
      refusal(() => checkEvent('tray-scanned', { reagent: 'saline', container: 'x' }, stamp, all)).message,
    ).toContain('receive it under Stock');
    expect(
      refusal(() => checkEvent('control-read', { control: 'core-1', observed: 'x', passed: true }, stamp, all)).message,
    ).toContain('only controls');
    expect(refusal(() => checkEvent('identity-confirmed', { subject: 'nobody' }, stamp, all)).message).toContain(
      'core-1, gel-1',
    );
    expect(
      refusal(() => checkEvent('corrected', { event: 'e0', withdrawn: true, reason: 'because' }, stamp, all)).message,
    ).toContain('no event');
    expect(
      refusal(() => checkEvent('resolved', { finding: 'step-long:dye', conforms: true, reason: 'because' }, stamp, all))
        .message,
    ).toContain('not undecided');
  });

  it('goes on with nothing after the run was abandoned or cleared, but corrections and notes', () => {
    const scribe = new Scribe(protocol);
    scribe.add('abandoned', { reason: 'core lost' });
    expect(
      refusal(() => checkEvent('step-started', { step: 'receive' }, scribe.stamp(), context(scribe.events))),
    ).toMatchObject({ code: 'run-abandoned' });
    scribe.wait(5).add('cleared', {});
    scribe.wait(1);
    expect(
      refusal(() => checkEvent('identity-confirmed', { subject: 'core-1' }, scribe.stamp(), context(scribe.events))),
    ).toMatchObject({ code: 'run-cleared' });
    expect(() => checkEvent('noted', { text: 'told the ward' }, scribe.stamp(), context(scribe.events))).not.toThrow();
    // A device that was cut off tells what was done before.
    const [abandoned] = scribe.events;
    expect(() =>
      checkEvent('identity-confirmed', { subject: 'core-1' }, abandoned!.stamp, context(scribe.events)),
    ).not.toThrow();
  });

  it('starts runs only with subjects that fit their purpose and protocol', () => {
    const at = (subjects: Parameters<typeof checkNewRun>[2], purpose: Parameters<typeof checkNewRun>[1] = 'patients') =>
      refusal(() => checkNewRun(protocol, purpose, subjects)).problems.map((problem) => problem.at);
    expect(at([{ subjectId: 'a', role: 'control', control: 'negative' }])).toEqual(['subjects']);
    expect(at([{ subjectId: 'a', role: 'patient', control: 'negative' }])).toEqual(['subjects.0.control']);
    expect(
      at([
        { subjectId: 'a', role: 'patient' },
        { subjectId: 'b', role: 'control' },
      ]),
    ).toEqual(['subjects.1.control']);
    expect(
      at([
        { subjectId: 'a', role: 'patient' },
        { subjectId: 'b', role: 'control', control: 'moon' },
      ]),
    ).toEqual(['subjects.1.control']);
    expect(at([{ subjectId: 'a', role: 'patient' }], 'acceptance')).toEqual(['subjects']);
    expect(() => checkNewRun(protocol, 'patients', [{ subjectId: 'a', role: 'patient' }])).not.toThrow();
  });
});
