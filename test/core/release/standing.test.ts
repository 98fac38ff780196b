import { describe, expect, it } from '@jest/globals';
import type { Finding, Weight } from '../../../src/core/gate/finding.js';
import type { PointJudgement } from '../../../src/core/gate/judge.js';
import { holding } from '../../../src/core/release/release.js';
import { pointStanding, standings } from '../../../src/core/release/standing.js';

function finding(rule: string, weight: Weight = 'stop', settled = false): Finding {
  const words = { what: rule, at: null, measured: null, against: null, mend: '', source: '', excusable: true };
  return { id: `${rule}:run`, rule, weight, subjectId: null, settled, ...words };
}

function point(findings: Finding[], id = 'adequacy'): PointJudgement {
  const held = findings.some(({ weight, settled }) => weight !== 'note' && !settled);
  return { point: id, title: id, verdict: held ? 'held' : 'clear', findings };
}

const released = { subjectId: 's0', point: 'adequacy' };

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

  it('names each rule that holds it once, and none where nothing holds it or something already left', () => {
    const held = point([
      finding('step-long'),
      finding('step-long'),
      finding('gap-long', 'caution'),
      finding('x', 'note'),
    ]);
    const unreached = point([finding('point-not-reached'), finding('step-long')], 'slide');
    const subjects = ['s0', 's1'].map((subjectId) => ({ subjectId, label: subjectId, points: [held, unreached] }));
    expect(standings({ judgedTo: 1, rules: '2', subjects }, [released])).toEqual([
      {
        subjectId: 's0',
        label: 's0',
        points: [
          { point: 'adequacy', title: 'adequacy', standing: 'released', heldBy: [] },
          { point: 'slide', title: 'slide', standing: 'not reached', heldBy: [] },
        ],
      },
      {
        subjectId: 's1',
        label: 's1',
        points: [
          { point: 'adequacy', title: 'adequacy', standing: 'held', heldBy: ['step-long', 'gap-long'] },
          { point: 'slide', title: 'slide', standing: 'not reached', heldBy: [] },
        ],
      },
    ]);
  });

  it('is held by every open stop and caution, never by a note or by what is settled', () => {
    const findings = [finding('a'), finding('b', 'caution'), finding('c', 'note'), finding('d', 'stop', true)];
    expect(holding(findings).map(({ rule }) => rule)).toEqual(['a', 'b']);
  });
});
