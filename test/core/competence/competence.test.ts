import { describe, expect, it } from '@jest/globals';
import {
  ASSESSMENT_ELEMENTS,
  assessmentTerm,
  checkAssessment,
  type CompetenceAct,
  competenceAt,
} from '../../../src/core/competence/competence.js';
import { Refusal } from '../../../src/core/refusal.js';

const act = (changes: Partial<CompetenceAct> = {}): CompetenceAct => ({
  protocolId: 'ao-fresh',
  decision: 'competent',
  at: '2026-03-02T09:00:00.000Z',
  revision: 2,
  until: '2026-09-03T00:00:00.000Z',
  ...changes,
});
const AT = '2026-05-01T10:00:00.000Z';

// 42 CFR 493.1235, 493.1413(b)(8)-(9) and 493.1451(b)(8)-(9); ISO 15189:2022 6.2.3.
describe('Where a person stands', () => {
  it.each([
    ['nothing was decided', [], AT, 0, 'not competent'],
    ['assessed', [act()], AT, 0, 'competent'],
    ['assessed later than the act', [act()], '2026-03-02T08:59:59.999Z', 0, 'not competent'],
    ['at the last instant of the term', [act()], '2026-09-02T23:59:59.999Z', 0, 'competent'],
    ['at the end of the term', [act()], '2026-09-03T00:00:00.000Z', 0, 'lapsed'],
    ['on the revision that asked for it', [act()], AT, 2, 'competent'],
    ['before a revision that asks for a new assessment', [act()], AT, 3, 'to be assessed anew'],
    ['in training', [act({ decision: 'in training', until: null })], AT, 0, 'in training'],
    ['in training beyond its term', [act({ decision: 'in training' })], '2026-09-03T00:00:00.000Z', 0, 'lapsed'],
    [
      'found not competent later',
      [act(), act({ decision: 'not competent', at: '2026-04-01T09:00:00.000Z' })],
      AT,
      0,
      'not competent',
    ],
    [
      'withdrawn and assessed again',
      [act({ decision: 'withdrawn', at: '2026-04-01T09:00:00.000Z' }), act({ at: '2026-04-02T09:00:00.000Z' })],
      AT,
      0,
      'competent',
    ],
  ] as const)('%s', (_, acts, at, assessedFrom, standing) => {
    expect(competenceAt(acts, at, assessedFrom)).toBe(standing);
  });
});

describe('An assessment', () => {
  it('lasts half a year in the first year of work on patients, a year after it', () => {
    expect(assessmentTerm(AT, null)).toBe('P6M');
    expect(assessmentTerm(AT, '2026-05-01T10:00:00.001Z')).toBe('P6M');
    expect(assessmentTerm(AT, AT)).toBe('P12M');
  });

  it('needs all six elements, each once', () => {
    const all = ASSESSMENT_ELEMENTS.map((element) => ({ element, evidence: 'seen' }));
    expect(all).toHaveLength(6);
    expect(() => checkAssessment('competent', all)).not.toThrow();
    expect(() => checkAssessment('in training', [])).not.toThrow();
    expect(() => checkAssessment('competent', all.slice(1))).toThrow(/missing: direct observation of routine work/);
    expect(() => checkAssessment('competent', [...all, ...all.slice(0, 1)])).toThrow(Refusal);
  });
});
