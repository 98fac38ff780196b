import { describe, expect, it } from '@jest/globals';
import type { Finding, Weight } from '../../src/core/gate/finding.js';
import type { Judgement, PointJudgement } from '../../src/core/gate/judge.js';
import type { Release } from '../../src/web/api.paths.js';
import { allFindings, holding, pointCounts, pointStanding, runStanding } from '../../src/web/release/standing.js';

function finding(rule: string, weight: Weight = 'stop', settled = false, subjectId: string | null = null): Finding {
  const words = { what: rule, at: null, measured: null, against: null, mend: '', source: '', excusable: true };
  return { id: `${rule}:run`, rule, weight, subjectId, settled, ...words };
}

function point(findings: Finding[], id = 'adequacy'): PointJudgement {
  const held = findings.some(({ weight, settled }) => weight !== 'note' && !settled);
  return { point: id, title: id, verdict: held ? 'held' : 'clear', findings };
}

function judgement(...findings: Finding[][]): Judgement {
  const subjects = findings.map((own, n) => ({ subjectId: `s${n}`, label: `S-${n}`, points: [point(own)] }));
  return { judgedTo: 1, rules: '2', subjects };
}

const released = { subjectId: 's0', point: 'adequacy' } as Release;

describe('where a specimen stands at a release point', () => {
  it('waits for a signature once nothing holds it, and has left once one stands', () => {
    expect(pointStanding(point([]), 's0', [])).toBe('clear');
    expect(pointStanding(point([]), 's0', [released])).toBe('released');
    expect(pointStanding(point([]), 's1', [released])).toBe('clear');
    expect(pointStanding(point([], 'slide'), 's0', [released])).toBe('clear');
  });

  it('is not there yet rather than held while its point is not reached', () => {
    expect(pointStanding(point([finding('point-not-reached'), finding('control-unread')]), 's0', [])).toBe(
      'not reached',
    );
    expect(pointStanding(point([finding('step-long')]), 's0', [])).toBe('held');
  });

  it('is closed in a run from which nothing will ever leave', () => {
    const findings = [finding('run-abandoned'), finding('point-not-reached')];
    expect(pointStanding(point(findings), 's0', [])).toBe('closed');
    expect(pointStanding(point([finding('not-for-patients')]), 's0', [])).toBe('closed');
  });
});

describe('where a run stands', () => {
  it('shows the most pressing of its slides, so that one held slide hides no clear one', () => {
    const counts = pointCounts(judgement([], [finding('subject-spoiled', 'stop', false, 's1')]), []);
    expect(counts).toEqual([
      {
        point: 'adequacy',
        title: 'adequacy',
        counts: [
          ['clear', 1],
          ['held', 1],
        ],
      },
    ]);
    expect(runStanding(counts)).toBe('clear');
  });

  it('is done once everything left', () => {
    expect(runStanding(pointCounts(judgement([]), [released]))).toBe('released');
  });

  it('has nothing to release without a patient’s specimen', () => {
    expect(runStanding(pointCounts(judgement(), []))).toBe('closed');
  });
});

describe('the findings of a run', () => {
  it('are shown once, those that are open first and the weightiest of them on top', () => {
    const settled = finding('step-undecided', 'stop', true);
    const shared = [finding('entered-late', 'note'), settled, finding('gap-long', 'caution'), finding('step-long')];
    expect(allFindings(judgement(shared, shared)).map(({ rule }) => rule)).toEqual([
      'step-long',
      'gap-long',
      'entered-late',
      'step-undecided',
    ]);
  });

  it('hold by every open stop and caution, never by a note or by what is settled', () => {
    const findings = [finding('a'), finding('b', 'caution'), finding('c', 'note'), finding('d', 'stop', true)];
    expect(holding(findings).map(({ rule }) => rule)).toEqual(['a', 'b']);
  });
});
