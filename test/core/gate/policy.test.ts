import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Finding, Weight } from '../../../src/core/gate/finding.js';
import { judge } from '../../../src/core/gate/judge.js';
import {
  checkPolicy,
  easedRules,
  limitUnder,
  NO_POLICY,
  policyInForce,
  ruleUnder,
  type TightenedRule,
  underPolicy,
} from '../../../src/core/gate/policy.js';
import { type Clause, type ClauseKey, CLAUSES } from '../../../src/core/gate/clauses.js';
import { RULES, type Rule, type RuleCode } from '../../../src/core/gate/rules.js';
import { REQUIREMENTS } from '../../../src/core/requirements/all.js';
import { excusable } from '../../../src/core/release/release.js';
import { bedside, readControls } from '../../support/bedside.js';

const ALL = Object.entries(RULES) as [RuleCode, Rule][];
const ORDER: Record<Weight, number> = { note: 0, caution: 1, stop: 2 };
const told = (...rules: TightenedRule[]): string[] =>
  checkPolicy({ rules }).map(({ at, message }) => `${at}: ${message}`);

describe('The gate’s rules', () => {
  it('each serve a clause, and each clause is served by a rule', () => {
    const served = new Set(ALL.flatMap(([, { serves }]) => serves));
    expect(ALL.filter(([, { serves }]) => serves.length === 0)).toEqual([]);
    expect((Object.keys(CLAUSES) as ClauseKey[]).filter((key) => !served.has(key))).toEqual([]);
  });

  it('name clauses whose proof the record can show, where one is gathered', () => {
    const known = REQUIREMENTS.map(({ id }) => id as string);
    const named = Object.values(CLAUSES).flatMap((clause: Clause) => clause.proof ?? []);
    expect(named.filter((id) => !known.includes(id))).toEqual([]);
  });

  it('link each clause to a requirement where there is one, and to that of the same clause', () => {
    const all = Object.entries<Clause>(CLAUSES);
    const astray = all.filter(([, { citation, proof }]) => {
      const same = REQUIREMENTS.filter(({ clause }) => clause === citation);
      return same.length > 0 && same.every(({ id }) => id !== proof);
    });
    expect(astray.map(([key]) => key)).toEqual([]);
    // What is asked of the report's text, of labels and of the program itself is proven by no record of work.
    const unlinked = ['CLIA-01', 'CLIA-50', 'ISO-17', 'P11-06', 'FDA-03', 'FDA-06', 'JCGM-106'];
    expect(all.filter(([, { proof }]) => proof === undefined).map(([key]) => key)).toEqual(unlinked);
  });
});

describe('A laboratory’s policy', () => {
  it.each<[string, TightenedRule, string]>([
    ['a rule that is not there', { rule: 'toString', weight: 'stop' }, 'the gate has no rule "toString"'],
    [
      'a stop made a caution',
      { rule: 'past-expiry', weight: 'caution' },
      'Past its expiry (past-expiry) weighs stop, and a policy can only make a rule stricter',
    ],
    ['what it weighs already', { rule: 'past-expiry', weight: 'stop' }, 'weighs stop already'],
    [
      'a longer window',
      { rule: 'fixation-long', limits: [{ name: 'hours', value: 96 }] },
      'Fixed too long (fixation-long) has 72 h; a policy can only make it stricter, which is less',
    ],
    ['a shorter least time', { rule: 'fixation-short', limits: [{ name: 'hours', value: 5 }] }, 'which is more'],
    [
      'a number that it has not',
      { rule: 'fixation-short', limits: [{ name: 'constructor', value: 5 }] },
      'has no number "constructor"; it has hours',
    ],
    ['a number that is none', { rule: 'filter-due', limits: [{ name: 'hours', value: -1 }] }, 'is no limit'],
    [
      'a number twice',
      {
        rule: 'filter-due',
        limits: [
          { name: 'hours', value: 24 },
          { name: 'hours', value: 12 },
        ],
      },
      'stands here twice',
    ],
    ['nothing', { rule: 'filter-due' }, 'nothing is said of Bath not filtered in time (filter-due)'],
    ['what no exception goes over anyway', { rule: 'run-abandoned', neverExcused: true }, 'leave it out'],
    ['what needs no exception', { rule: 'entered-late', neverExcused: true }, 'make it a stop as well'],
  ])('is refused for %s', (_name, rule, message) => {
    expect(told(rule)).toEqual([expect.stringContaining(message)]);
  });

  it('is refused for a rule that stands twice, and for windows that exclude each other', () => {
    const twice: TightenedRule = { rule: 'entered-late', weight: 'caution' };
    expect(told(twice, twice)).toEqual([
      expect.stringContaining('rules.1.rule: Entered afterwards (entered-late) stands here twice'),
    ]);
    expect(
      told(
        { rule: 'fixation-short', limits: [{ name: 'hours', value: 30 }] },
        { rule: 'fixation-long', limits: [{ name: 'hours', value: 24 }] },
      ),
    ).toEqual([expect.stringContaining('no tissue can be fixed for at least 30 h and at most 24 h')]);
  });

  it('only ever makes a rule stricter, whatever it says', () => {
    const rule = fc.record(
      {
        rule: fc.constantFrom(...ALL.map(([code]) => code as string)),
        weight: fc.constantFrom('caution' as const, 'stop' as const),
        neverExcused: fc.constant(true as const),
        limits: fc.array(
          fc.record({
            name: fc.constantFrom('hours', 'minutes'),
            value: fc.double({ min: -10, max: 1e4, noNaN: true }),
          }),
        ),
      },
      { requiredKeys: ['rule'] },
    );
    fc.assert(
      fc.property(rule, fc.constantFrom<Weight>('note', 'caution', 'stop'), fc.boolean(), (own, weight, may) => {
        const policy = { rules: [own] };
        const found = { rule: own.rule, weight, excusable: may } as Finding;
        const under = underPolicy(found, policy);
        expect(ORDER[under.weight]).toBeGreaterThanOrEqual(ORDER[weight]);
        expect(under.excusable && !may).toBe(false);
        for (const { name, value, stricter, counts } of ruleUnder(own.rule as RuleCode, policy).limits) {
          expect(limitUnder(own.rule as RuleCode, name, policy)).toBe(counts);
          if (value === null || counts === null) continue;
          expect(stricter === 'less' ? counts <= value : counts >= value).toBe(true);
        }
      }),
    );
  });

  it('counts from its first instant on, the one signed last of those that do', () => {
    const signed = [
      { seq: 5, effectiveFrom: '2026-12-01T00:00:00.000Z' },
      { seq: 9, effectiveFrom: '2026-11-20T00:00:00.000Z' },
    ];
    expect(policyInForce(signed, '2026-11-19T23:59:59.999Z')).toBeNull();
    expect(policyInForce(signed, '2026-11-20T00:00:00.000Z')?.seq).toBe(9);
    expect(policyInForce(signed, '2026-12-02T00:00:00.000Z')?.seq).toBe(9);
  });

  it('names the rules that it eases against the one before', () => {
    const before = {
      rules: [
        { rule: 'entered-late', weight: 'stop' as const },
        { rule: 'filter-due', limits: [{ name: 'hours', value: 12 }] },
        { rule: 'past-expiry', neverExcused: true as const },
        { rule: 'service-overdue', weight: 'stop' as const },
      ],
    };
    const after = {
      rules: [
        { rule: 'entered-late', weight: 'caution' as const },
        { rule: 'filter-due', limits: [{ name: 'hours', value: 24 }] },
        { rule: 'service-overdue', weight: 'stop' as const, neverExcused: true as const },
      ],
    };
    expect(easedRules(before, after)).toEqual(['entered-late', 'filter-due', 'past-expiry']);
    expect(easedRules(after, before)).toEqual(['service-overdue']);
    expect(easedRules(NO_POLICY, before)).toEqual([]);
  });

  it('holds what the program lets go, and takes the way of an exception', () => {
    const late = (policy = NO_POLICY) => {
      const facts = bedside(
        (scribe) => {
          scribe.steps();
          readControls(scribe);
        },
        { policy },
      );
      for (const event of facts.events.slice(-1)) event.stamp = { ...event.stamp, late: true };
      return judge(facts).subjects[0]?.points[0];
    };
    expect(late()).toMatchObject({ verdict: 'clear', findings: [{ rule: 'entered-late', weight: 'note' }] });
    const strict = late({ rules: [{ rule: 'entered-late', weight: 'stop', neverExcused: true }] });
    expect(strict).toMatchObject({
      verdict: 'held',
      findings: [{ rule: 'entered-late', weight: 'stop', excusable: false }],
    });
    expect(() => excusable(strict?.findings ?? [])).toThrow('No exception can let this out');
  });

  it('says how often a bath of stain is filtered, where nothing is published', () => {
    const filtered = (hours?: number) => {
      const facts = bedside();
      const dye = facts.containers.find(({ reagent }) => reagent === 'acridine-orange-working');
      if (dye)
        dye.bath = {
          maxSlides: null,
          passed: [],
          filterEvery: null,
          filtered: [{ at: '2026-11-24T09:00:00.000Z', until: null }],
        };
      const policy =
        hours === undefined
          ? NO_POLICY
          : { rules: [{ rule: 'filter-due', limits: [{ name: 'hours', value: hours }] }] };
      return judge({ ...facts, policy }).subjects[0]?.points[0]?.findings.filter(({ rule }) => rule === 'filter-due')
        .length;
    };
    expect([filtered(), filtered(48), filtered(24), filtered(8)]).toEqual([0, 0, 1, 1]);
  });
});
