import { describe, expect, it } from '@jest/globals';
import type { CoveringResult } from '../../../src/core/controls/coverage.js';
import { publishedPlan } from '../../../src/core/controls/plan.js';
import type { PlannedClock } from '../../../src/core/controls/planned.js';
import { controlFindings } from '../../../src/core/gate/controls.js';
import type { RunFacts } from '../../../src/core/gate/facts.js';
import type { InstrumentFacts } from '../../../src/core/instruments/instrument.js';
import { runState } from '../../../src/core/run/state.js';
import { bedside, container, Scribe, shipped, START } from '../../support/bedside.js';

/** Harris H&E at 09:00 on 25 November with all on its tray opened at 07:00, and no control of its own. */
const protocol = shipped('he-harris-regressive');
const codes = [...new Set(protocol.steps.flatMap(({ reagent }) => reagent ?? []))];
const lots = Object.fromEntries(codes.map((code) => [code, `l-${code}`]));

function routine(results: Partial<CoveringResult>[], changes: (facts: RunFacts) => void = () => undefined): RunFacts {
  const facts = bedside();
  const scribe = new Scribe(protocol);
  scribe.tray();
  const own: RunFacts = {
    ...facts,
    protocol,
    subjects: facts.subjects.slice(0, 1),
    events: scribe.events,
    containers: codes.map((code) => container(code)),
    controls: {
      ...facts.controls,
      plan: structuredClone(publishedPlan(protocol)),
      results: results.map((each, n) => ({
        id: `c${n}`,
        requirement: 'daily',
        runId: 'r0',
        revisionId: 'v1',
        station: 'H&E line',
        at: '2026-11-25T08:00:00.000Z',
        day: '2026-11-25',
        week: '2026-W48',
        month: '2026-11',
        readAt: '2026-11-25T08:30:00.000Z',
        passed: true,
        lots,
        ...each,
      })),
    },
  };
  changes(own);
  return own;
}

const found = (facts: RunFacts) =>
  controlFindings(facts, runState(facts.protocol, facts.events)).map(({ rule, id, what }) => ({ rule, id, what }));
const rules = (facts: RunFacts): string[] => found(facts).map(({ rule }) => rule);

const YESTERDAY = { at: '2026-11-24T08:00:00.000Z', day: '2026-11-24' };
const clock =
  (...clocks: PlannedClock[]) =>
  (facts: RunFacts): void => {
    facts.controls.plan.controls[0]!.clocks = clocks;
  };

describe('The gate’s clocks of a control', () => {
  it('are all met by a control stained today with all that is in use (42 CFR 493.1256(e)(1), (e)(2), (d)(6))', () => {
    expect(found(routine([{}]))).toEqual([]);
  });

  it('are told in one finding when no control passed at all', () => {
    const [only, ...others] = found(routine([]));
    expect(others).toEqual([]);
    expect(only).toMatchObject({ rule: 'control-missing', id: 'control-missing:daily' });
    expect(only!.what).toContain('each day of use (42 CFR 493.1256(e)(2))');
    expect(only!.what).toContain('each new lot or shipment: lot QUILL-harris-haematoxylin of harris-haematoxylin');
  });

  it('tell yesterday’s control from today’s, although its lots are checked (42 CFR 493.1256(e)(2))', () => {
    const facts = routine([YESTERDAY], ({ containers }) => {
      for (const each of containers) each.states = [{ at: '2026-11-20T07:00:00.000Z', state: 'opened' }];
    });
    expect(found(facts)).toEqual([
      {
        rule: 'control-stale',
        id: 'control-stale:daily:each day of use',
        what: 'The positive control is due each day of use (42 CFR 493.1256(e)(2)); it last passed with these lots at 2026-11-24T08:00:00.000Z.',
      },
    ]);
  });

  it('tell a lot opened since the day’s control, by the reagent (42 CFR 493.1256(e)(1))', () => {
    const facts = routine([{ lots: { ...lots, 'harris-haematoxylin': 'l-before' } }]);
    expect(found(facts)).toMatchObject([
      { rule: 'control-missing', id: 'control-missing:daily:each day of use' },
      { rule: 'control-lot-unchecked', id: 'control-lot-unchecked:daily:harris-haematoxylin' },
      { rule: 'control-missing', id: 'control-missing:daily:after a full reagent change' },
    ]);
  });

  it('ask nothing of a lot that does not stain, beyond the day’s', () => {
    const solvent = codes.find((code) => code.startsWith('ethanol') || code === 'xylene') as string;
    expect(rules(routine([{ lots: { ...lots, [solvent]: 'l-before' } }]))).not.toContain('control-lot-unchecked');
  });

  it('want a control after all was changed, though its lots are the same (42 CFR 493.1256(d)(6))', () => {
    const changed = (at: string) => (facts: RunFacts) => {
      for (const each of facts.containers) each.states = [{ at, state: 'opened' }];
    };
    expect(found(routine([{}], changed('2026-11-25T08:00:00.001Z')))).toMatchObject([
      { rule: 'control-stale', id: 'control-stale:daily:after a full reagent change' },
    ]);
    const partly = routine([{}], (facts) => {
      changed('2026-11-25T08:00:00.001Z')(facts);
      facts.containers.find(({ reagent }) => reagent === 'harris-haematoxylin')!.states = [
        { at: '2026-11-25T07:00:00.000Z', state: 'opened' },
      ];
    });
    expect(found(partly)).toEqual([]);
  });

  it('want a control after a service of an instrument of the station (42 CFR 493.1256(d)(6))', () => {
    const serviced = (at: string): RunFacts =>
      routine([{}], (facts) => {
        const act = { kind: 'serviced' as const, at, passed: true, until: null, station: null };
        facts.instruments = [
          { id: 'i', code: 'ST-1', name: 'stainer', calibrated: false, acts: [act] },
        ] satisfies InstrumentFacts[];
      });
    expect(found(serviced('2026-11-25T08:30:00.000Z'))).toMatchObject([
      { rule: 'control-stale', id: 'control-stale:daily:after service of an instrument' },
    ]);
    expect(found(serviced('2026-11-25T07:30:00.000Z'))).toEqual([]);
    expect(found(serviced('2026-11-25T09:30:00.000Z'))).toEqual([]);
  });

  it('take the week’s and the month’s control (42 CFR 493.1261(a)(2), 493.1264(c))', () => {
    const week = clock({ when: 'each week of use', clause: '' });
    const month = clock({ when: 'each month of use', clause: '' });
    expect(rules(routine([YESTERDAY], week))).toEqual([]);
    expect(rules(routine([{ ...YESTERDAY, week: '2026-W47' }], week))).toEqual(['control-stale']);
    expect(rules(routine([{ ...YESTERDAY, week: '2026-W47' }], month))).toEqual([]);
    expect(rules(routine([{ ...YESTERDAY, month: '2026-10' }], month))).toEqual(['control-stale']);
  });

  it('count slides since the control, those stained with it included', () => {
    const slides = (first: number) => (facts: RunFacts) => {
      clock({ when: 'every n slides', n: 10, clause: '' })(facts);
      facts.controls.uses = [
        { runId: 'r0', at: '2026-11-25T08:00:00.000Z', slides: first },
        { runId: 'r1', at: START, slides: 1 },
      ];
    };
    expect(rules(routine([{}], slides(9)))).toEqual([]);
    expect(rules(routine([{}], slides(10)))).toEqual(['control-stale']);
  });

  it('count days since the control', () => {
    const days = (n: number) => clock({ when: 'every n days', n, clause: '' });
    expect(rules(routine([YESTERDAY], days(2)))).toEqual([]);
    expect(rules(routine([YESTERDAY], days(1)))).toEqual(['control-stale']);
  });

  it('let a control of another revision answer nothing', () => {
    expect(rules(routine([{ revisionId: 'v0' }]))).toEqual(['control-missing']);
  });

  it('tell a control of another run that failed, until one passed after it', () => {
    const failed = { at: '2026-11-25T08:10:00.000Z', passed: false };
    expect(rules(routine([{}, failed]))).toContain('control-failed');
    expect(rules(routine([{}, failed, { at: '2026-11-25T08:20:00.000Z' }]))).toEqual([]);
  });
});

describe('One use at the bedside', () => {
  const without = (use: RunFacts['controls']['plan']['use'], result: Partial<CoveringResult>): string[] => {
    const facts = bedside();
    facts.subjects = facts.subjects.filter(({ role }) => role === 'patient');
    const all = Object.fromEntries(facts.containers.map(({ reagent, lot }) => [reagent, lot.id]));
    facts.controls.plan.use = use;
    facts.controls.patients = ['OQ-1'];
    facts.controls.results = ['positive', 'negative', 'autofluorescence'].map((requirement) => ({
      ...routine([{}]).controls.results[0]!,
      requirement,
      station: 'Ultrasound 1',
      lots: all,
      ...result,
    }));
    return rules(facts);
  };

  it('is the run, unless the director says otherwise', () => {
    expect(new Set(without({ words: 'one run', counts: 'run' }, {}))).toEqual(new Set(['control-missing']));
  });

  it('may be the session of one station within the hours that the director set', () => {
    const session = { words: 'one list', counts: 'session' as const, hours: 1 };
    expect(without(session, {})).toEqual([]);
    expect(without(session, { at: '2026-11-25T07:59:59.999Z' })).toHaveLength(3);
    expect(without(session, { station: 'Ultrasound 2' })).toHaveLength(3);
  });

  it('may be one patient on one day', () => {
    const patient = { words: 'one patient', counts: 'patient' as const };
    expect(without(patient, { patients: ['OQ-1'] })).toEqual([]);
    expect(without(patient, { patients: ['OQ-2'] })).toHaveLength(3);
  });
});

describe('What a plan asks of a reading', () => {
  const read = (change: (facts: RunFacts) => void, second = false) => {
    const facts = bedside((scribe) => {
      const data = { control: 'control-positive', observed: 'bright', passed: true };
      scribe.add('control-read', data);
      if (second) scribe.add('control-read', { ...data, reading: 'second' });
    });
    change(facts);
    return found(facts).filter(({ id }) => id.endsWith('control-positive'));
  };
  const positive = (facts: RunFacts) => facts.controls.plan.controls.find(({ id }) => id === 'positive')!;

  it('a second reader', () => {
    const asks = (facts: RunFacts) => void (positive(facts).secondReader = true);
    expect(read(asks)).toMatchObject([{ rule: 'control-second-reader' }]);
    expect(read(asks, true)).toEqual([]);
  });

  it('a picture, as a caution', () => {
    expect(read((facts) => void (positive(facts).pictures = true))).toMatchObject([
      { rule: 'control-picture-missing' },
    ]);
  });
});
