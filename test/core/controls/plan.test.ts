import { describe, expect, it } from '@jest/globals';
import { checkCalendar } from '../../../src/core/controls/calendar.js';
import { checkPlan, planFor, planInForce, publishedPlan } from '../../../src/core/controls/plan.js';
import type { ControlPlan } from '../../../src/core/controls/planned.js';
import type { Protocol } from '../../../src/core/protocol/protocol.js';
import { shipped } from '../../support/bedside.js';

const clocksOf = (plan: ControlPlan, id: string): string[] =>
  plan.controls.find((control) => control.id === id)?.clocks.map(({ when, clause }) => `${when} (${clause})`) ?? [];

const changed = (id: string, change: (plan: ControlPlan) => void): { plan: ControlPlan; protocol: Protocol } => {
  const protocol = shipped(id);
  const plan = structuredClone(publishedPlan(protocol));
  change(plan);
  return { plan, protocol };
};
const faults = (id: string, change: (plan: ControlPlan) => void): string[] => {
  const { plan, protocol } = changed(id, change);
  return checkPlan(plan, protocol).map(({ code, message }) => `${code}: ${message}`);
};

const REAGENTS = [
  'each new lot or shipment (42 CFR 493.1256(e)(1))',
  'after a full reagent change (42 CFR 493.1256(d)(6))',
  'after service of an instrument (42 CFR 493.1256(d)(6))',
];

describe('The published plan', () => {
  // Source: 42 CFR 493.1256(d)(6), (e)(1)-(3), 493.1261(a)(2), 493.1273(a); CLIA-19, 23, 24, 25, 30, 31 of the
  // regulations compiled 2026-11-25.
  it.each([
    ['he-harris-regressive', 'daily', 'each day of use (42 CFR 493.1256(e)(2))'],
    ['ao-fresh', 'positive', 'each use (42 CFR 493.1256(e)(3) and 493.1273(a))'],
    ['ao-fresh', 'negative', 'each use (42 CFR 493.1256(e)(3) and 493.1273(a))'],
    ['ihc-dab', 'positive-tissue', 'each use (42 CFR 493.1256(e)(3) and 493.1273(a))'],
    ['pas', 'positive', 'each group of slides (42 CFR 493.1273(a))'],
    ['gram-smear', 'weekly-positive', 'each week of use (Gram stain of smears, 42 CFR 493.1261(a)(2))'],
  ])('of %s gives %s the clocks that its clauses name', (protocol, control, clock) => {
    expect(clocksOf(publishedPlan(shipped(protocol)), control)).toEqual([clock, ...REAGENTS]);
  });

  it('holds nothing for what is only advised', () => {
    const floaters = publishedPlan(shipped('he-harris-regressive')).controls.find(({ id }) => id === 'floaters');
    expect(floaters).toMatchObject({ required: false, clocks: [{ clause: 'advised, no rule asks for it' }] });
  });
});

describe('A laboratory’s plan', () => {
  it('may be the published one, or stricter', () => {
    expect(faults('he-harris-regressive', () => undefined)).toEqual([]);
    expect(
      faults('he-harris-regressive', ({ controls: [daily] }) => {
        daily!.clocks[0]!.when = 'each use';
        daily!.clocks.push({ when: 'every n slides', n: 60, clause: 'local procedure' });
        daily!.secondReader = true;
      }),
    ).toEqual([]);
  });

  it.each([
    [
      'a longer clock',
      (plan: ControlPlan) => (plan.controls[0]!.clocks[0]!.when = 'each week of use'),
      'the positive control "daily" is due each day of use by 42 CFR 493.1256(e)(2); a plan may be stricter, never laxer: add that clock',
    ],
    [
      'lots unchecked',
      (plan: ControlPlan) => plan.controls[0]!.clocks.splice(1, 1),
      'is due each new lot or shipment by 42 CFR 493.1256(e)(1)',
    ],
    [
      'slides counted instead of the day',
      (plan: ControlPlan) => (plan.controls[0]!.clocks[0] = { when: 'every n slides', n: 5, clause: 'ours' }),
      'is due each day of use by 42 CFR 493.1256(e)(2)',
    ],
    [
      'the control left out',
      (plan: ControlPlan) => plan.controls.shift(),
      'the positive control "daily" is left out; it is asked for each day of use (42 CFR 493.1256(e)(2))',
    ],
    [
      'the control made optional',
      (plan: ControlPlan) => (plan.controls[0]!.required = false),
      'the positive control "daily" must be required (42 CFR 493.1256(e)(2))',
    ],
  ])('is refused with its clause for %s', (_what, change, told) => {
    const found = faults('he-harris-regressive', change);
    expect(found).toHaveLength(1);
    expect(found[0]).toMatch(/^laxer: /);
    expect(found[0]).toContain(told);
  });

  it('may define one use at the bedside, never for a whole day and never in the laboratory (42 CFR 493.1273(a))', () => {
    const session = (hours?: number) => (plan: ControlPlan) =>
      (plan.use = { words: 'one list', counts: 'session', ...(hours !== undefined && { hours }) });
    expect(faults('ao-fresh', session(4))).toEqual([]);
    expect(faults('ao-fresh', session(24))).toEqual([expect.stringMatching(/^session-hours: .*at most 8 hours/)]);
    expect(faults('ao-fresh', session())).toHaveLength(1);
    expect(faults('ihc-dab', session(4))).toEqual([expect.stringMatching(/^use-at-bench: /)]);
  });

  it.each<[string, (plan: ControlPlan) => unknown, RegExp]>([
    ['a control twice', (plan) => plan.controls.push(plan.controls[0]!), /^duplicate: "daily" stands twice/],
    [
      'another kind for a control of the protocol',
      (plan) => (plan.controls[0]!.kind = 'negative'),
      /^other-kind: the protocol's control "daily" is positive/,
    ],
    [
      'a count of nothing',
      (plan) => plan.controls[0]!.clocks.push({ when: 'every n days', clause: '' }),
      /^no-number: "every n days" needs n/,
    ],
    ['a number where nothing counts', (plan) => (plan.controls[0]!.clocks[0]!.n = 3), /^number: .*leave n out/],
    ['a control that is never due', (plan) => (plan.controls[1]!.clocks = []), /^no-clock: /],
    ['the plan of another protocol', (plan) => (plan.protocolId = 'pas'), /^other-protocol: /],
  ])('is refused for %s', (_what, change, told) => {
    expect(faults('he-harris-regressive', change)).toEqual([expect.stringMatching(told)]);
  });

  it('is never laxer than a later revision of the protocol', () => {
    const { plan, protocol } = changed('pas', (own) => own.controls.splice(1));
    const later = structuredClone(protocol);
    later.controls[0]!.when = 'each use';
    later.controls.push({ ...later.controls[0]!, id: 'second', kind: 'negative' });
    const raised = planFor(later, plan);
    expect(raised.controls.map(({ id }) => id)).toEqual(expect.arrayContaining(['positive', 'second']));
    expect(clocksOf(raised, 'positive').some((clock) => clock.startsWith('each use'))).toBe(true);
  });

  it('is in force from its effective date until the next one’s', () => {
    const plan = (number: number, effectiveFrom: string) => ({
      id: `p${number}`,
      number,
      content: publishedPlan(shipped('pas')),
      effectiveFrom,
      seq: number,
    });
    const all = [plan(1, '2026-11-01T00:00:00.000Z'), plan(2, '2026-12-01T00:00:00.000Z')];
    expect(planInForce(all, '2026-10-31T23:59:59.999Z')).toBeNull();
    expect(planInForce(all, '2026-11-30T23:59:59.999Z')?.number).toBe(1);
    expect(planInForce(all, '2026-12-01T00:00:00.000Z')?.number).toBe(2);
  });
});

describe('The laboratory’s calendar', () => {
  const open = { from: '08:00', to: '18:00' };
  const calendar = { weekdays: [open, open, open, open, open, null, null], holidays: [] };
  it('is kept as it should be', () => expect(checkCalendar(calendar)).toEqual([]));
  it.each([
    ['six days', { ...calendar, weekdays: calendar.weekdays.slice(1) }, 'weekdays'],
    ['a night', { ...calendar, weekdays: [{ from: '20:00', to: '06:00' }, ...calendar.weekdays.slice(1)] }, 'disorder'],
    [
      'a time that is none',
      { ...calendar, weekdays: [{ from: '8', to: '18:00' }, ...calendar.weekdays.slice(1)] },
      'time',
    ],
    ['no open day', { ...calendar, weekdays: Array.from({ length: 7 }, () => null) }, 'never-open'],
    ['30 February', { ...calendar, holidays: [{ day: '2026-02-30', name: 'none' }] }, 'no-such-day'],
  ])('is refused with %s', (_what, faulty, code) => {
    expect(checkCalendar(faulty).map((each) => each.code)).toEqual([code]);
  });
});
