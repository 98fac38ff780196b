import { expect, it } from '@jest/globals';
import { closingFault, standingAnswer } from '../../../src/core/lookback/lookback.js';
import { pathBack, pathWords, type TracedLot } from '../../../src/core/trace/trace.js';

const lot = (
  id: string,
  containers: string[],
  from: string[],
  origin: TracedLot['origin'] = 'prepared',
): TracedLot => ({
  id,
  reagent: 'dye',
  number: id.toUpperCase(),
  origin,
  source: 'invented',
  receivedAt: '2026-11-20T08:00:00.000Z',
  standing: 'accepted',
  containers: containers.map((each) => ({ id: each, label: `label ${each}`, state: 'opened', runs: 0 })),
  madeOf: from.map((containerId) => ({ containerId, lotId: id, at: '2026-11-21T08:00:00.000Z' })),
});

const lots = [lot('a', ['a1', 'a2'], [], 'supplied'), lot('b', ['b1'], ['a1']), lot('c', ['c1'], ['b1', 'a2'])];

it('goes back from a container to where a trace began by the shortest way', () => {
  expect(pathBack(lots, ['a'], 'a2')).toEqual([{ containerId: 'a2', lotId: 'a' }]);
  expect(pathBack(lots, ['a'], 'b1')?.map(({ containerId }) => containerId)).toEqual(['b1', 'a1']);
  expect(pathBack(lots, ['a'], 'c1')?.map(({ containerId }) => containerId)).toEqual(['c1', 'a2']);
  expect(pathBack(lots, ['b'], 'c1')?.map(({ containerId }) => containerId)).toEqual(['c1', 'b1']);
  expect(pathBack(lots, ['c'], 'a1')).toBeNull();
});

it('ends where lots were made of each other, which nobody can do', () => {
  expect(pathBack([lot('x', ['x1'], ['y1']), lot('y', ['y1'], ['x1'])], ['a'], 'x1')).toBeNull();
});

it('says the way in words', () => {
  expect(pathWords(lots, pathBack(lots, ['a'], 'b1') ?? [])).toBe(
    'label b1 of preparation B, made of label a1 of lot A',
  );
});

it('lets the last answer count, and no other specimen’s', () => {
  const answer = (subjectId: string, seq: number, outcome: 'withdrawn' | 'not affected') => ({
    runId: 'r',
    subjectId,
    seq,
    outcome,
  });
  const answers = [answer('s', 2, 'withdrawn'), answer('s', 1, 'not affected'), answer('t', 3, 'not affected')];
  expect(standingAnswer({ runId: 'r', subjectId: 's' }, answers)?.outcome).toBe('withdrawn');
  expect(standingAnswer({ runId: 'q', subjectId: 's' }, answers)).toBeNull();
});

// 42 CFR 493.1282(b)(2): all patient results in the failed run and since the last acceptable run are evaluated.
it('keeps a lookback open while anything is unanswered', () => {
  expect(closingFault({ touched: 3, answered: 2, closed: false })).toMatch(/^1 of 3 .* is not answered/);
  expect(closingFault({ touched: 3, answered: 3, closed: false })).toBeNull();
  expect(closingFault({ touched: 0, answered: 0, closed: false })).toBeNull();
  expect(closingFault({ touched: 3, answered: 3, closed: true })).toMatch(/closed already/);
});
