import { describe, expect, it } from '@jest/globals';
import {
  checkRoundAct,
  type RoundAct,
  type RoundActData,
  type RoundActKind,
  roundStanding,
} from '../../../src/core/external-assessment/round.js';

const act = (kind: RoundActKind, data: RoundActData = {}): RoundAct => ({ kind, at: '2026-11-25T10:00:00.000Z', data });
const sent = act('sent', { text: 'two slides' });
const good = act('scored', { score: 18, outOf: 20, satisfactory: true });
const bad = act('scored', { score: 9, outOf: 20, satisfactory: false });
const cause = act('cause', { text: 'bluing too short' });
const action = act('action', { text: 'bluing by the clock' });

// 42 CFR 493.1236(a), 493.803; ISO 15189:2022 7.3.7.3.
describe('A round of external assessment', () => {
  it.each([
    [[], 'to be stained'],
    [[sent], 'waiting for its score'],
    [[sent, good], 'to be closed'],
    [[sent, bad], 'to be looked into'],
    [[sent, bad, cause], 'to be looked into'],
    [[sent, bad, cause, action], 'to be closed'],
    [[sent, bad, good], 'to be closed'],
    [[sent, good, act('closed')], 'closed'],
  ])('stands where its acts left it: %#', (acts, standing) => {
    expect(roundStanding(acts)).toBe(standing);
  });

  it.each<[RoundActKind, RoundActData, RoundAct[], RegExp]>([
    ['scored', good.data, [], /first what was stained/],
    ['scored', { score: 21, outOf: 20, satisfactory: true }, [sent], /between 0 and 20/],
    ['scored', { score: 2, outOf: 20 }, [sent], /calls it satisfactory/],
    ['closed', {}, [sent, bad], /to be looked into/],
    ['cause', {}, [sent, bad], /what the cause was/],
    ['action', { text: 'more' }, [sent, good, act('closed')], /closed/],
  ])('refuses %s where it cannot be', (kind, data, acts, message) => {
    expect(() => checkRoundAct(kind, data, acts)).toThrow(message);
  });
});
