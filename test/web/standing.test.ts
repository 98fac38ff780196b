import { describe, expect, it } from '@jest/globals';
import type { Finding, Weight } from '../../src/core/gate/finding.js';
import type { PointStanding, StoodSubject } from '../../src/core/release/standing.js';
import { allFindings, pointCounts, runStanding } from '../../src/web/release/standing.js';

function slide(standing: PointStanding, ...heldBy: string[]): StoodSubject {
  return { subjectId: '', label: '', points: [{ point: 'adequacy', title: 'Adequacy', standing, heldBy }] };
}

describe('where a run stands', () => {
  it('shows the most pressing of its slides, so that one held slide hides no clear one', () => {
    const counts = pointCounts([slide('held', 'spoiled', 'step-long'), slide('clear'), slide('held', 'step-long')]);
    expect(counts).toEqual([
      {
        point: 'adequacy',
        title: 'Adequacy',
        counts: [
          ['clear', 1],
          ['held', 2],
        ],
        heldBy: ['spoiled', 'step-long'],
      },
    ]);
    expect(runStanding(counts)).toBe('clear');
  });

  it('is done once everything left', () => {
    expect(runStanding(pointCounts([slide('released')]))).toBe('released');
  });

  it('has nothing to release without a patient’s specimen', () => {
    expect(runStanding(pointCounts([]))).toBe('closed');
  });
});

describe('the findings of a run', () => {
  function finding(rule: string, weight: Weight = 'stop', settled = false): Finding {
    const words = { what: rule, at: null, measured: null, against: null, mend: '', source: '', excusable: true };
    return { id: `${rule}:run`, rule, weight, subjectId: null, settled, ...words };
  }

  it('are shown once, those that are open first and the weightiest of them on top', () => {
    const settled = finding('step-undecided', 'stop', true);
    const findings = [finding('entered-late', 'note'), settled, finding('gap-long', 'caution'), finding('step-long')];
    const points = [{ point: 'adequacy', title: 'Adequacy', verdict: 'held' as const, findings }];
    const subjects = ['s0', 's1'].map((subjectId) => ({ subjectId, label: subjectId, points }));
    expect(allFindings({ judgedTo: 1, rules: '2', subjects }).map(({ rule }) => rule)).toEqual([
      'step-long',
      'gap-long',
      'entered-late',
      'step-undecided',
    ]);
  });
});
