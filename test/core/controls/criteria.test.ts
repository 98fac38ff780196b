import { describe, expect, it } from '@jest/globals';
import {
  checkCriteria,
  type Criterion,
  type ReadBy,
  readBy,
  usualCriteria,
} from '../../../src/core/controls/criteria.js';
import { checkPlan, offeredControls, planFor, publishedPlan } from '../../../src/core/controls/plan.js';
import type { PlannedControl } from '../../../src/core/controls/planned.js';
import type { CriterionReading } from '../../../src/core/controls/result.js';
import { Refusal } from '../../../src/core/refusal.js';
import { shipped } from '../../support/bedside.js';

const harris = shipped('he-harris-regressive');
const CRISP: Criterion = {
  code: 'nuclear-crispness',
  title: 'Nuclear crispness',
  expected: 'crisp',
  grades: ['none', 'smudged', 'acceptable', 'crisp'],
  least: 2,
  source: 'local procedure',
};
const SPECKS: Criterion = {
  code: 'specks',
  title: 'Specks',
  expected: 'at most two',
  grades: null,
  least: null,
  source: 'local procedure',
};

describe('What a control is read by', () => {
  const written: ReadBy = { criteria: [CRISP, SPECKS], written: true };
  const usual = readBy(harris, { kind: 'positive', criteria: [] });

  it('is what its plan writes, else the usual criteria of its category', () => {
    expect(readBy(harris, { kind: 'positive', criteria: [SPECKS] })).toEqual({ criteria: [SPECKS], written: true });
    expect(usual).toEqual({ criteria: usualCriteria(harris, { kind: 'positive' }), written: false });
  });

  const grade = (criterion: string, value: CriterionReading['grade']): CriterionReading => ({
    criterion,
    grade: value,
  });
  const refused = (readings: CriterionReading[], passed: boolean, by = written): string | null => {
    try {
      checkCriteria(readings, passed, by);
      return null;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      return error.problems[0]?.at ?? error.message;
    }
  };

  it.each<[what: string, readings: CriterionReading[], passed: boolean, at: string | null]>([
    ['all of them, good enough', [grade('nuclear-crispness', 2), grade('specks', 'pass')], true, null],
    ['all of them, one too poor, not passed', [grade('nuclear-crispness', 1), grade('specks', 'pass')], false, null],
    [
      'one too poor, said to have passed',
      [grade('nuclear-crispness', 1), grade('specks', 'pass')],
      true,
      'data.passed',
    ],
    ['one failed, said to have passed', [grade('nuclear-crispness', 3), grade('specks', 'fail')], true, 'data.passed'],
    ['one lacking', [grade('nuclear-crispness', 3)], true, 'data.criteria'],
    ['none, not passed', [], false, 'data.criteria'],
    ['one that the plan does not know', [grade('background', 3)], true, 'data.criteria.0.criterion'],
    ['a word for a grade', [grade('nuclear-crispness', 'pass')], true, 'data.criteria.0.grade'],
    ['a grade for a word', [grade('specks', 3)], true, 'data.criteria.0.grade'],
  ])('takes or refuses %s', (_what, readings, passed, at) => {
    expect(refused(readings, passed)).toBe(at);
  });

  it('lets the usual ones be left out, and knows no others', () => {
    expect(refused([], true, usual)).toBeNull();
    expect(refused([grade('cytoplasm', 2)], true, usual)).toBeNull();
    expect(refused([grade('specks', 'pass')], true, usual)).toBe('data.criteria.0.criterion');
  });
});

describe('A plan', () => {
  const plan = structuredClone(publishedPlan(harris));
  const daily = plan.controls.find(({ id }) => id === 'daily') as PlannedControl;
  const own: PlannedControl = { ...daily, id: 'own-appendix', criteria: [CRISP] };
  const at = (criteria: Criterion[]): string[] =>
    checkPlan({ ...plan, controls: [{ ...daily, criteria }] }, harris).map(({ path }) => path.join('.'));

  it('writes criteria whose grades all mean something', () => {
    expect(at([CRISP, SPECKS])).toEqual([]);
    expect(at([{ ...CRISP, least: null }])).toEqual(['controls.0.criteria.0']);
    expect(at([{ ...CRISP, grades: ['none', ' ', 'acceptable', 'crisp'] }])).toEqual(['controls.0.criteria.0.grades']);
    expect(at([CRISP, CRISP])).toEqual(['controls.0.criteria.1.code']);
  });

  it('offers its own controls and what the protocol advises beyond it', () => {
    const counting = planFor(harris, { ...plan, controls: [daily, own] });
    expect(counting.controls.map(({ id }) => id)).toEqual(['daily', 'own-appendix']);
    const offered = offeredControls(harris, counting).map(({ id, required }) => [id, required]);
    expect(offered.slice(0, 2)).toEqual([
      ['daily', true],
      ['own-appendix', true],
    ]);
    expect(offered.slice(2)).toEqual(harris.controls.filter(({ required }) => !required).map(({ id }) => [id, false]));
  });
});
