import { describe, expect, it } from '@jest/globals';
import type { GateSubject, RunFacts } from '../../../src/core/gate/facts.js';
import { limitUnder, NO_POLICY } from '../../../src/core/gate/policy.js';
import { tissueFindings } from '../../../src/core/gate/tissue.js';
import { checkMoment, tissueTimes, type TissueTimes } from '../../../src/core/specimen/tissue.js';
import { plusMs } from '../../../src/core/time/instant.js';
import { bedside, patientSubject, shipped, START } from '../../support/bedside.js';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const ihc = bedside(undefined, { protocol: shipped('ihc-dab') });

/** A breast specimen that lay `cold` minutes and was `fixed` hours in 10 % neutral buffered formalin. */
function tissue(cold: number | null, fixed: number | null, changes: Partial<TissueTimes> = {}): TissueTimes {
  const takenAt = cold === null ? null : START;
  const fixedFrom = plusMs(START, (cold ?? 0) * MINUTE);
  const fixedUntil = fixed === null ? null : plusMs(fixedFrom, fixed * HOUR);
  return { takenAt, fixedFrom, fixedUntil, fixative: 'nbf-10', ...changes };
}

const rules = (changes: Partial<GateSubject>, facts: RunFacts = ihc): string[] =>
  tissueFindings(patientSubject('s', { tissueTest: 'breast receptors', ...changes }), facts).map(({ rule }) => rule);

describe('The windows of breast tissue for receptors', () => {
  it('are those of the ASCO-CAP guidelines: 60 min, 6 h, 72 h', () => {
    expect(limitUnder('cold-ischaemia-long', 'minutes', NO_POLICY)).toBe(60);
    expect(limitUnder('fixation-short', 'hours', NO_POLICY)).toBe(6);
    expect(limitUnder('fixation-long', 'hours', NO_POLICY)).toBe(72);
  });

  // ASCO-CAP HER2 2013/2018 and ER/PgR 2010: 6 to 72 h in 10 % NBF, cold ischaemia at most 1 h, ends included.
  it.each<[string, TissueTimes, string[]]>([
    ['in the middle', tissue(20, 24), []],
    ['at both ends', tissue(60, 6), []],
    ['at the upper end', tissue(0, 72), []],
    ['past 1 h', tissue(60 + 1 / 60_000, 24), ['cold-ischaemia-long']],
    ['under 6 h', tissue(20, 6 - 1 / 3_600_000), ['fixation-short']],
    ['past 72 h', tissue(20, 72 + 1 / 3_600_000), ['fixation-long']],
    ['unknown when taken', tissue(null, 24), ['tissue-times-unknown']],
    ['still in fixative', tissue(20, null), ['tissue-times-unknown']],
    ['with nothing known', tissueTimes(null, []), ['tissue-times-unknown']],
    ['in another fixative', tissue(20, 24, { fixative: 'bouin-fluid' }), ['fixative-other']],
  ])('%s', (_name, times, expected) => {
    expect(rules({ tissue: times })).toEqual(expected);
  });

  it('are no matter to other tissue, nor to a stain that is no such test', () => {
    const long = tissue(90, 100);
    expect(rules({ tissue: long, tissueTest: null })).toEqual([]);
    expect(rules({ tissue: long }, bedside(undefined, { protocol: shipped('he-gill') }))).toEqual([]);
    expect(rules({ tissue: long })).toEqual(['cold-ischaemia-long', 'fixation-long']);
  });

  it('are narrower where the laboratory’s policy says so', () => {
    const policy = {
      rules: [
        { rule: 'cold-ischaemia-long', limits: [{ name: 'minutes', value: 30 }] },
        { rule: 'fixation-short', limits: [{ name: 'hours', value: 8 }] },
      ],
    };
    expect(rules({ tissue: tissue(31, 7) })).toEqual([]);
    expect(rules({ tissue: tissue(31, 7) }, { ...ihc, policy })).toEqual(['cold-ischaemia-long', 'fixation-short']);
    expect(rules({ tissue: tissue(30, 8) }, { ...ihc, policy })).toEqual([]);
  });
});

describe('A stain after which a section is spent', () => {
  const pas = shipped('pas');
  const unfit = pas.fitness.find(({ unfit: spent }) => spent);
  const spentBy = [
    { title: pas.title, at: START, use: 'immunohistochemistry', statement: 'not on the same section', sources: [] },
  ];

  it('is marked so in the shipped protocols', () => {
    expect(unfit).toMatchObject({ use: 'immunohistochemistry' });
  });

  it('speaks against that later test, with what the protocol says, and against no other', () => {
    const [found] = tissueFindings(patientSubject('s', { spentBy }), ihc);
    expect(found).toMatchObject({ rule: 'made-unfit', weight: 'stop' });
    expect(found?.what).toContain('not on the same section (no source named)');
    expect(rules({ spentBy, tissueTest: null }, bedside(undefined, { protocol: shipped('he-gill') }))).toEqual([]);
  });
});

it('A moment of a specimen keeps its order: the body, fixative, out of it, and nothing in the future', () => {
  const now = '2026-11-26T12:00:00.000Z';
  const into = { kind: 'into fixative' as const, at: plusMs(START, 20 * MINUTE), fixative: 'nbf-10' };
  const out = { kind: 'out of fixative' as const, at: plusMs(START, 24 * HOUR), fixative: null };
  const refused = (moment: typeof into | typeof out, known: TissueTimes) => () => checkMoment(moment, known, now);
  const fresh = tissueTimes(START, []);
  expect(refused(into, fresh)).not.toThrow();
  expect(refused({ ...into, at: plusMs(START, -1) }, fresh)).toThrow('left the body');
  expect(refused(out, fresh)).toThrow('Record first');
  expect(refused({ ...out, at: plusMs(START, 1) }, tissueTimes(START, [into]))).toThrow('cannot have come out');
  expect(refused({ ...into, at: '2026-11-27T00:00:00.000Z' }, fresh)).toThrow('future');
  expect(refused({ ...into, at: plusMs(out.at, 1) }, tissueTimes(START, [into, out]))).toThrow('came out of fixative');
  const taken = { kind: 'out of the body' as const, at: plusMs(into.at, 1), fixative: null };
  expect(() => checkMoment(taken, tissueTimes(null, [into]), now)).toThrow('cannot have left the body');
  expect(tissueTimes(null, [{ ...taken, at: START }]).takenAt).toBe(START);
  // Of one kind the last recorded counts.
  expect(tissueTimes(START, [into, { ...into, at: START }]).fixedFrom).toBe(START);
});
