import { describe, expect, it } from '@jest/globals';
import { deviationMatter } from '../../../src/core/alerts/deviation.js';
import { checkDeviationAct } from '../../../src/core/deviations/check.js';
import {
  type DeviationAct,
  type DeviationActData,
  type DeviationActKind,
  deviationStanding,
  dueItems,
  isOverdue,
} from '../../../src/core/deviations/deviation.js';
import { beyondProcess, ranked } from '../../../src/core/deviations/trends.js';
import { Refusal } from '../../../src/core/refusal.js';

const day = (n: number): string => `2026-11-${String(n).padStart(2, '0')}T12:00:00.000Z`;
const signature = { personId: 'head', name: 'Isolde', at: day(1), meaning: 'review', recordHash: '' } as const;

/** Acts by who did them on which day, each checked against those before it; an action's id is its text. */
class Story {
  readonly acts: DeviationAct[] = [];

  then(kind: DeviationActKind, at: number, personId: string, data: DeviationActData = {}): this {
    this.check(kind, at, personId, data);
    this.acts.push({ id: data.text ?? `${kind}-${at}`, kind, at: day(at), personId, data });
    return this;
  }

  check(kind: DeviationActKind, at: number, personId: string, data: DeviationActData = {}): void {
    checkDeviationAct(kind, data, this.acts, { personId, at: day(at) });
  }

  /** The code of the refusal. */
  refuses(kind: DeviationActKind, at: number, personId: string, data: DeviationActData = {}): string {
    try {
      this.check(kind, at, personId, data);
    } catch (error) {
      if (error instanceof Refusal) return error.code;
      throw error;
    }
    return 'not refused';
  }

  get state(): string {
    return this.standing.state;
  }

  get standing() {
    return deviationStanding({ effect: 'no result affected' }, this.acts);
  }

  due(now: number): string[] {
    return dueItems(this.standing).map(
      (item) => `${item.kind} ${item.ownerId}${isOverdue(item, day(now)) ? ' overdue' : ''}`,
    );
  }
}

const CAUSE: DeviationActData = { causeKind: 'method', text: 'the timer hangs behind the hood' };
const action = (text: string, ownerId: string): DeviationActData => ({ text, ownerId, due: day(10) });
const CHECK: DeviationActData = { text: 'none in 20 runs', ownerId: 'corvin', notBefore: day(15), due: day(20) };

const toBeChecked = (): Story =>
  new Story()
    .then('assigned', 1, 'head', { ownerId: 'marl', due: day(5) })
    .then('cause', 2, 'marl', CAUSE)
    .then('action', 3, 'marl', action('move the timer', 'tansy'))
    .then('done', 6, 'marl', { actionId: 'move the timer', text: 'moved' })
    .then('check planned', 6, 'head', CHECK);

describe('Where a deviation stands', () => {
  it('goes from opened to closed, with what is due and overdue on the way', () => {
    const story = new Story();
    expect([story.state, story.due(1)]).toEqual(['opened', []]);
    story.then('assigned', 1, 'head', { ownerId: 'marl', due: day(5) });
    // The due instant itself is the first at which it is overdue.
    expect([story.due(4), story.due(5)]).toEqual([['inquiry marl'], ['inquiry marl overdue']]);
    story.then('cause', 2, 'marl', CAUSE);
    expect([story.state, story.due(4)]).toEqual(['cause found', ['inquiry marl']]);
    story.then('action', 3, 'marl', action('move the timer', 'tansy'));
    expect([story.state, story.due(11)]).toEqual(['action under way', ['action tansy overdue']]);
    story.then('done', 6, 'tansy', { actionId: 'move the timer', text: 'moved' });
    expect([story.state, story.due(11)]).toEqual(['to be checked', []]);
    story.then('check planned', 6, 'head', CHECK);
    expect(story.due(21)).toEqual(['check corvin overdue']);
    story.then('checked', 16, 'corvin', { effective: true, text: 'none in 24 runs' });
    expect([story.state, story.due(30)]).toEqual(['effective', []]);
    story.then('closed', 17, 'head', { ended: 'effective', text: 'proven', signature });
    expect([story.state, story.standing.ended, story.due(30)]).toEqual(['closed', 'effective', []]);
  });

  it('asks for more where a check failed, and for a new proof where an action came after the check', () => {
    const story = toBeChecked().then('checked', 16, 'corvin', { effective: false, text: 'twice in 20 runs' });
    expect([story.state, story.due(16)]).toEqual(['not effective', ['inquiry marl overdue']]);
    story.then('action', 16, 'marl', { ...action('a second timer', 'tansy'), due: day(20) });
    story.then('dropped', 17, 'marl', { actionId: 'a second timer', text: 'no room for it' });
    // What was dropped proves nothing and undoes nothing.
    expect(story.state).toBe('not effective');
    const proven = toBeChecked().then('checked', 16, 'corvin', { effective: true, text: 'none' });
    proven.then('action', 17, 'marl', { ...action('a louder one', 'tansy'), due: day(20) });
    proven.then('done', 18, 'tansy', { actionId: 'a louder one', text: 'bought' });
    expect(proven.state).toBe('to be checked');
  });

  it('begins anew when it is reopened, the effect on results excepted', () => {
    const story = toBeChecked()
      .then('effect', 7, 'corvin', { effect: 'released result doubtful', text: 'one had left' })
      .then('checked', 16, 'corvin', { effective: true, text: 'none' })
      .then('closed', 17, 'head', { ended: 'effective', text: 'proven', signature })
      .then('reopened', 18, 'marl', { text: 'again on the second bench' });
    expect(story.standing).toMatchObject({ state: 'opened', actions: [], effect: 'released result doubtful' });
    expect(story.refuses('action', 18, 'marl', { ...action('x', 'tansy'), due: day(20) })).toBe('cause-first');
    expect(story.refuses('closed', 18, 'head', { ended: 'effective', text: 'x', signature })).toBe('not-to-be-closed');
  });
});

describe('What a deviation refuses', () => {
  const cases: [what: string, story: () => Story, act: Parameters<Story['refuses']>, code: string][] = [
    ['an action before a cause', () => new Story(), ['action', 1, 'marl', action('x', 'tansy')], 'cause-first'],
    [
      'an action without an owner',
      () => new Story().then('cause', 1, 'marl', CAUSE),
      ['action', 1, 'marl', { text: 'x', due: day(10) }],
      'deviation-act-incomplete',
    ],
    [
      'an action due before it is asked for',
      () => new Story().then('cause', 1, 'marl', CAUSE),
      ['action', 11, 'marl', action('x', 'tansy')],
      'deviation-act-incomplete',
    ],
    ['a check without an action', () => new Story(), ['check planned', 1, 'head', CHECK], 'action-first'],
    [
      'a check without its first day',
      toBeChecked,
      ['check planned', 7, 'head', { ...CHECK, notBefore: undefined as never }],
      'deviation-act-incomplete',
    ],
    [
      'a check whose last day lies before its first',
      toBeChecked,
      ['check planned', 7, 'head', { ...CHECK, due: day(14) }],
      'deviation-act-incomplete',
    ],
    [
      'a check before its first day',
      toBeChecked,
      ['checked', 14, 'corvin', { effective: true, text: 'x' }],
      'check-early',
    ],
    ['a check by the owner', toBeChecked, ['checked', 16, 'tansy', { effective: true, text: 'x' }], 'own-check'],
    ['a check by who did it', toBeChecked, ['checked', 16, 'marl', { effective: true, text: 'x' }], 'own-check'],
    [
      'a check planned for the owner',
      toBeChecked,
      ['check planned', 7, 'head', { ...CHECK, ownerId: 'tansy' }],
      'own-check',
    ],
    [
      'a check while an action is open',
      () => toBeChecked().then('action', 7, 'marl', action('another', 'marl')),
      ['checked', 16, 'corvin', { effective: true, text: 'x' }],
      'action-open',
    ],
    [
      'an action done twice',
      toBeChecked,
      ['done', 7, 'tansy', { actionId: 'move the timer', text: 'x' }],
      'action-done',
    ],
    ['an action of elsewhere', toBeChecked, ['done', 7, 'tansy', { actionId: 'made-up', text: 'x' }], 'unknown-action'],
    [
      'an end without proof',
      toBeChecked,
      ['closed', 7, 'head', { ended: 'effective', text: 'x', signature }],
      'not-to-be-closed',
    ],
    [
      'an end that needs no action while one stands',
      toBeChecked,
      ['closed', 7, 'head', { ended: 'no action needed', text: 'x', signature }],
      'not-to-be-closed',
    ],
    [
      'an end without a signature',
      () => new Story(),
      ['closed', 1, 'head', { ended: 'no action needed', text: 'x' }],
      'deviation-act-incomplete',
    ],
    ['to be reopened while it is open', toBeChecked, ['reopened', 7, 'head', { text: 'x' }], 'deviation-open'],
    [
      'anything more once it is closed',
      () => new Story().then('closed', 1, 'head', { ended: 'no action needed', text: 'a slip of the pen', signature }),
      ['cause', 2, 'marl', CAUSE],
      'deviation-closed',
    ],
  ];
  it.each(cases)('%s', (_what, story, act, code) => {
    expect(story().refuses(...act)).toBe(code);
  });
});

it('Of what is to be done is told from seven days before', () => {
  const [item] = dueItems(
    new Story().then('cause', 1, 'marl', CAUSE).then('action', 1, 'marl', action('x', 'tansy')).standing,
  );
  if (!item) throw new Error('the open action is not due');
  const due = { id: 'd', number: 3, title: 'dyed too long', item, owner: 'Tansy' };
  expect(deviationMatter(due, '2026-11-03T11:59:59.999Z')).toBeNull();
  expect(deviationMatter(due, '2026-11-03T12:00:00.000Z')).toMatchObject({
    key: 'deviation due:x',
    path: '/deviations/d',
    text: expect.stringContaining('has to be done before'),
  });
  expect(deviationMatter(due, day(10))?.text).toContain('had to be done before');
});

describe('Trends', () => {
  it('rank by count, with rate, share and the share up to each', () => {
    const groups = [
      { key: 'b', name: 'b', deviations: 1, runs: 10 },
      { key: 'c', name: 'c', deviations: 0, runs: 50 },
      { key: 'd', name: 'd', deviations: 1, runs: null },
      { key: 'a', name: 'a', deviations: 2, runs: 4 },
    ];
    expect(ranked(groups).map(({ key, rate, share, cumulative }) => [key, rate, share, cumulative])).toEqual([
      ['a', 0.5, 0.5, 0.5],
      ['b', 0.1, 0.25, 0.75],
      ['d', null, 0.25, 1],
    ]);
  });

  it.each([
    // Poisson table, mean 1: P(5 or more) = 0.003660, P(6 or more) = 0.000594 (from memory; common tables).
    [5, 1, false],
    [6, 1, true],
    [0, 0, false],
    [1, 0, true],
  ])('%i deviations where %d are expected: beyond the process is %p', (deviations, expected, beyond) => {
    expect(beyondProcess(deviations, expected)).toBe(beyond);
  });
});
