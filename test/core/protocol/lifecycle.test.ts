import { describe, expect, it } from '@jest/globals';
import {
  checkApproval,
  checkDecision,
  decisionRecord,
  effectiveInstant,
  inForce,
  type RevisionAct,
  type RevisionHistory,
  revisionState,
} from '../../../src/core/protocol/lifecycle.js';
import type { Protocol } from '../../../src/core/protocol/protocol.js';

const day = (d: number): string => `2026-12-${String(d).padStart(2, '0')}T09:00:00.000Z`;
let seq = 0;
const act = (kind: RevisionAct['kind'], at: string, data: RevisionAct['data'] = {}): RevisionAct => ({
  kind,
  at,
  seq: ++seq,
  data,
});
const approved = (at: string, effectiveFrom: string) => act('approved', at, { effectiveFrom });
const revision = (id: string, ...acts: RevisionAct[]): RevisionHistory => ({ id, acts });

// 42 CFR 493.1251(d): procedures and changes are approved, signed and dated by the director before use; 493.1251(e): the
// dates of first use and discontinuance are kept. That a superseded revision does not come back: common practice, no source.
describe('The life of a revision', () => {
  it('begins as a draft and is used by no run before approval and its effective date', () => {
    const one = revision('1', act('drafted', day(1)), act('reviewed', day(2)), approved(day(3), day(5)));
    const states = [1, 2, 3, 4, 5].map((d) => [revisionState(one, [one], day(d)), inForce(one, [one], day(d))]);
    expect(states).toEqual([
      ['draft', false],
      ['reviewed', false],
      ['approved', false],
      ['approved', false],
      ['approved', true],
    ]);
  });

  it('gives way to a later approved one at the instant from which that one is effective', () => {
    const one = revision('1', approved(day(1), day(1)));
    const two = revision('2', approved(day(2), day(5)));
    const all = [one, two];
    expect(inForce(one, all, '2026-12-05T08:59:59.999Z')).toBe(true);
    expect(inForce(two, all, '2026-12-05T08:59:59.999Z')).toBe(false);
    expect(revisionState(one, all, day(5))).toBe('superseded');
    expect(inForce(two, all, day(5))).toBe(true);
  });

  it('does not come back when its successor is retired, unless that never took effect', () => {
    const one = revision('1', approved(day(1), day(1)));
    const two = revision('2', approved(day(2), day(5)), act('retired', day(6)));
    expect([one, two].map((each) => revisionState(each, [one, two], day(7)))).toEqual(['superseded', 'retired']);
    expect([one, two].some((each) => inForce(each, [one, two], day(7)))).toBe(false);
    const withdrawn = revision('3', approved(day(2), day(5)), act('retired', day(4)));
    expect(inForce(one, [one, withdrawn], day(7))).toBe(true);
  });

  it('has at most one in force, the one approved last, in whatever order the effective dates fall', () => {
    const first = revision('1', approved(day(1), day(20)));
    const second = revision('2', approved(day(2), day(10)));
    const third = revision('3', approved(day(3), day(15)));
    const all = [first, second, third];
    const forced = [9, 10, 14, 15, 20, 25].map((d) =>
      all.filter((each) => inForce(each, all, day(d))).map(({ id }) => id),
    );
    expect(forced).toEqual([[], ['2'], ['2'], ['3'], ['3'], ['3']]);
  });

  it('ends when it is retired', () => {
    const one = revision('1', approved(day(1), day(1)), act('retired', day(3)));
    expect([2, 3].map((d) => inForce(one, [one], day(d)))).toEqual([true, false]);
  });
});

describe('Decisions on a revision', () => {
  const protocol = (status: 'proposal' | 'set by this laboratory'): Protocol => ({
    format: 'stainwright-protocol/1',
    id: 'quill-blue',
    title: 'Quill blue',
    purpose: 'An invented stain',
    category: 'special',
    setting: 'laboratory',
    material: { form: 'section', description: 'section', irreplaceable: false },
    expected: 'blue',
    steps: [
      {
        id: 'dye',
        action: 'Dye',
        vessel: 'staining dish',
        time: { min: 10, target: 20, max: 30, unit: 's', status: 'set by this laboratory', window: status },
        end: 'clock',
        critical: true,
        handsOn: { start: 1, end: 1 },
        sources: [],
      },
    ],
    releasePoints: [{ id: 'slide', title: 'Stained slide', of: 'slide', after: 'dye' }],
    controls: [],
    cautions: [],
    fitness: [],
    sources: [],
  });
  const verification = { reference: 'VER-7', summary: 'Twenty slides agreed.' };

  it('refuses approval while a figure is a proposal, and names it', () => {
    expect(() => checkApproval('draft', protocol('set by this laboratory'), verification)).not.toThrow();
    expect(() => checkApproval('draft', protocol('proposal'), verification)).toThrow(
      expect.objectContaining({
        kind: 'conflict',
        code: 'open-proposals',
        problems: [{ at: 'steps.0.time.window', message: expect.stringContaining('Dye') }],
      }),
    );
  });

  // 42 CFR 493.1253(b): what shows that the method works stands before its results are reported.
  it('refuses approval without a verification record', () => {
    expect(() =>
      checkApproval('reviewed', protocol('set by this laboratory'), { reference: 'VER-7', summary: '  ' }),
    ).toThrow(
      expect.objectContaining({
        kind: 'invalid',
        problems: [{ at: 'verification.summary', message: 'summary is empty' }],
      }),
    );
  });

  it('refuses what the state does not allow, saying what would be right', () => {
    expect(() => checkDecision('approved', 'approved')).toThrow('This revision is approved and cannot be approved');
    expect(() => checkDecision('approved', 'retired')).toThrow(expect.objectContaining({ kind: 'conflict' }));
    expect(() => checkDecision('reviewed', 'superseded')).toThrow('review a draft');
    expect(() => checkDecision('retired', 'retired')).toThrow('nothing is left to do');
    for (const state of ['draft', 'reviewed', 'approved', 'superseded'] as const) {
      expect(() => checkDecision('retired', state)).not.toThrow();
    }
  });

  // The instants follow from the IANA time zone database: Lisbon keeps UTC in winter and UTC+1 from 2027-03-28; Cairo
  // skips the midnight at which 2026-04-24 would begin.
  it('takes effect where the local day begins, today at once, and never in the past', () => {
    const now = '2026-11-25T09:00:00.000Z';
    expect(effectiveInstant('2026-12-01', now, 'Europe/Lisbon')).toBe('2026-12-01T00:00:00.000Z');
    expect(effectiveInstant('2027-06-01', now, 'Europe/Lisbon')).toBe('2027-05-31T23:00:00.000Z');
    expect(effectiveInstant('2026-04-24', '2026-01-01T00:00:00.000Z', 'Africa/Cairo')).toBe('2026-04-23T22:00:00.000Z');
    expect(effectiveInstant('2026-11-25', now, 'Europe/Lisbon')).toBe(now);
    expect(() => effectiveInstant('2026-11-24', now, 'Europe/Lisbon')).toThrow('give 2026-11-25 or a later day');
    // At 09:00 UTC it is still the 24th in Honolulu.
    expect(effectiveInstant('2026-11-24', now, 'Pacific/Honolulu')).toBe(now);
    expect(() => effectiveInstant('2026-02-30', now, 'Europe/Lisbon')).toThrow('no such day');
  });

  // 21 CFR 11.70: a signature is linked to its record so that it cannot be moved to another.
  it('is signed together with the content it is about, and never with the signature itself', () => {
    const signature = { personId: 'p', name: 'P', at: day(1), meaning: 'approval', recordHash: 'x' } as const;
    const record = decisionRecord('approved', { id: 'r1', contentHash: 'abc' }, { effectiveFrom: day(2), signature });
    expect(record).toEqual({ act: 'approved', revision: 'r1', contentHash: 'abc', effectiveFrom: day(2) });
  });
});
