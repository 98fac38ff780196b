import { describe, expect, it } from '@jest/globals';
import { resultsByLot } from '../../../src/core/controls/by-lot.js';
import { checkClose } from '../../../src/core/controls/close-failure.js';
import { isGood, passingGrade, usualCriteria } from '../../../src/core/controls/criteria.js';
import { SeriesEvaluation, type Point } from '../../../src/core/controls/evaluate.js';
import { computedLimits } from '../../../src/core/controls/new-limits.js';
import { type ControlReading, resultsOf, wholePasses } from '../../../src/core/controls/result.js';
import { coveredBy } from '../../../src/core/controls/covered.js';
import { Refusal } from '../../../src/core/refusal.js';
import { shipped } from '../../support/bedside.js';

const reading = (seq: number, changes: Partial<ControlReading> = {}): ControlReading => ({
  id: `r${seq}`,
  seq,
  runId: 'run-1',
  protocolId: 'pas',
  revisionId: 'v1',
  requirement: 'positive',
  subjectId: 'kidney',
  reading: 'first',
  at: '2026-11-25T10:00:00.000Z',
  stainedAt: '2026-11-25T09:00:00.000Z',
  day: '2026-11-25',
  passed: true,
  observed: 'as expected',
  personId: 'tansy',
  lots: { schiff: 'lot-1' },
  criteria: null,
  pictures: null,
  valueId: null,
  ...changes,
});

const codeOf = (act: () => void): string => {
  try {
    act();
  } catch (error) {
    if (error instanceof Refusal) return error.code;
    throw error;
  }
  return 'none';
};

describe('What readings make of a control', () => {
  it('is one result for two readers, not passed while they disagree, and as they agreed afterwards', () => {
    const first = reading(1);
    const second = reading(2, { reading: 'second', personId: 'corvin', passed: false });
    const agreed = reading(3, { reading: 'agreed' });
    expect(resultsOf([first])).toMatchObject([{ passed: true, second: 'none' }]);
    expect(resultsOf([second, first])).toMatchObject([{ id: 'r1', passed: false, second: 'disagrees' }]);
    expect(resultsOf([first, second, agreed])).toMatchObject([{ passed: true, second: 'settled' }]);
    expect(resultsOf([first, { ...second, passed: true }])).toMatchObject([{ passed: true, second: 'agrees' }]);
  });

  it('keeps a later first reading apart, and lets no pass stand beside a failure of the same run', () => {
    const both = resultsOf([reading(1, { passed: false }), reading(2)]);
    expect(both.map(({ passed }) => passed)).toEqual([false, true]);
    expect(wholePasses(both)).toEqual([]);
    expect(wholePasses(resultsOf([reading(1)]))).toHaveLength(1);
  });

  it('is summed up by lot, pass counting 3 and fail 0', () => {
    const [lot] = resultsByLot(
      resultsOf([
        reading(1, { criteria: [{ criterion: 'background', grade: 'pass' }] }),
        reading(2, { runId: 'run-2', passed: false, criteria: [{ criterion: 'background', grade: 1 }] }),
      ]),
    );
    expect(lot).toMatchObject({ lotId: 'lot-1', results: 2, failed: 1 });
    expect(lot?.criteria).toEqual([{ criterion: 'background', judged: 2, mean: 2, poor: 1 }]);
  });
});

describe('The usual criteria', () => {
  it('follow the stain and the kind of control', () => {
    const codes = (protocol: string, kind: string) =>
      usualCriteria(shipped(protocol), { kind }).map(({ code }) => code);
    expect(codes('he-harris-regressive', 'positive')).toEqual([
      'nuclear-crispness',
      'cytoplasm',
      'background',
      'precipitate',
      'contamination',
    ]);
    expect(codes('ao-fresh', 'negative')).toEqual(['reaction', 'background', 'precipitate']);
    expect(codes('ao-fresh', 'instrument')).toEqual([]);
    for (const criterion of usualCriteria(shipped('pas'), { kind: 'positive' })) {
      expect(isGood(criterion, passingGrade(criterion))).toBe(true);
    }
  });
});

// 42 CFR 493.1282(b)(2): all results obtained in the failed run and since the last acceptable one.
describe('What a failed control covers', () => {
  const lots = { dye: 'a', rinse: 'b' };
  const failure = { runId: 'F', requirement: 'positive', stainedAt: '2026-11-25T11:00:00.000Z', lots };
  const pass = (hour: string, used = lots) => ({
    requirement: 'positive',
    stainedAt: `2026-11-25T${hour}:00:00.000Z`,
    lots: used,
  });
  const run = (time: string, used: Record<string, string> = lots) => ({
    runId: 'R',
    startedAt: `2026-11-25T${time}:00.000Z`,
    lots: used,
  });

  it('reaches back to the last passing control and forward to the first passing repeat', () => {
    const passes = [pass('08'), pass('13')];
    const covered = ['07:30', '08:30', '10:59', '12:30', '13:30'].map((time) => coveredBy(failure, run(time), passes));
    expect(covered).toEqual([false, true, true, true, false]);
  });

  it('is nothing with another lot, anything while nobody said its lots, and always its own run', () => {
    expect(coveredBy(failure, run('10:30', { dye: 'other', rinse: 'b' }), [])).toBe(false);
    expect(coveredBy({ ...failure, lots: {} }, run('10:30', { dye: 'other' }), [])).toBe(true);
    expect(coveredBy(failure, { ...run('11:00'), runId: 'F' }, [pass('11')])).toBe(true);
  });

  it('is not ended by a control of other lots or of another requirement', () => {
    expect(coveredBy(failure, run('12:30'), [pass('12', { dye: 'other', rinse: 'b' })])).toBe(true);
    expect(coveredBy(failure, run('12:30'), [{ ...pass('12'), requirement: 'negative' }])).toBe(true);
    expect(coveredBy(failure, run('12:30'), [pass('12')])).toBe(false);
  });

  it('is closed only with a cause, and by a repeat only with an action and every case answered', () => {
    const failed = { requirement: 'positive', protocolId: 'pas', stainedAt: failure.stainedAt };
    const repeat = { ...failed, stainedAt: '2026-11-25T13:00:00.000Z', passed: true };
    const standing = { failed, closed: false, hasCause: true, hasAction: true, repeat, unanswered: [] };
    const open = [{ runId: 'R', subjectId: 's', label: 'SW1:S:1' }];
    expect(codeOf(() => checkClose(standing, 'repeated', []))).toBe('none');
    expect(codeOf(() => checkClose({ ...standing, hasCause: false }, 'repeated', []))).toBe('failure-open');
    expect(codeOf(() => checkClose({ ...standing, hasAction: false }, 'repeated', []))).toBe('failure-open');
    expect(codeOf(() => checkClose({ ...standing, repeat: null }, 'repeated', []))).toBe('failure-open');
    expect(codeOf(() => checkClose({ ...standing, closed: true }, 'withdrawn', []))).toBe('closed-already');
    const meaning = [{ runId: 'R', subjectId: 's', meaning: 'no second piece' }];
    expect(codeOf(() => checkClose({ ...standing, unanswered: open }, 'repeated', meaning))).toBe('cases-open');
    expect(codeOf(() => checkClose({ ...standing, unanswered: open }, 'not repeatable', meaning))).toBe('none');
  });
});

describe('A series judged as a stream', () => {
  const at = (n: number): string => new Date(Date.parse('2026-11-01T00:00:00.000Z') + n * 60_000).toISOString();
  const judged = (values: readonly number[], resets: string[] = []) => {
    const fired: string[][] = [];
    const evaluation = new SeriesEvaluation<Point>(
      ['L'],
      { '2-2s': 'reject' },
      { limits: [{ level: 'L', since: at(2), mean: 0, sd: 1 }], resets },
      (_points, said) => fired.push(said ? said.fired.map(({ rule }) => rule) : ['none']),
    );
    values.forEach((value, n) => evaluation.add({ level: 'L', value, at: at(n), batch: `${n}` }));
    evaluation.end();
    return fired;
  };

  it('judges by the limits that held, and looks no further back than new limits or a reset', () => {
    expect(judged([3, 3, 3, 3])).toEqual([['none'], ['none'], [], ['2-2s-within']]);
    expect(judged([0, 0, 3, 3], [at(2)])).toEqual([['none'], ['none'], [], []]);
  });
});

describe('New limits', () => {
  const values = (...xs: number[]) =>
    xs.map((x, n) => ({ id: `v${n}`, x, day: `2026-11-${String(n + 1).padStart(2, '0')}` }));

  it('come from the first values, all of them, or a new lot beside the old', () => {
    expect(computedLimits('first points', values(1, 2, 3), null)).toMatchObject({
      n: 3,
      mean: 2,
      sd: 1,
      provisional: true,
    });
    expect(computedLimits('cumulative', values(1, 2, 3), null)).toMatchObject({ n: 3, mean: 2, sd: 1 });
    expect(computedLimits('new lot', values(49, 51), { mean: 100, sd: 2 })).toMatchObject({ n: 2, mean: 50, sd: 1 });
  });

  it('name a value that lies too far, and refuse too few or no spread', () => {
    expect(computedLimits('first points', values(1, 2, 3, 2, 1, 50), null).suspect).toBe('v5');
    expect(computedLimits('first points', values(1, 2, 3), null).suspect).toBeNull();
    expect(codeOf(() => computedLimits('cumulative', values(4), null))).toBe('too-few');
    expect(codeOf(() => computedLimits('cumulative', values(4, 4), null))).toBe('no-spread');
    expect(codeOf(() => computedLimits('new lot', values(4, 5), null))).toBe('no-old-limits');
  });
});
