import { describe, expect, it } from '@jest/globals';
import { judge } from '../../../src/core/gate/judge.js';
import { whyUnusable } from '../../../src/core/lot/facts.js';
import { leavingReasons } from '../../../src/core/storage/leaving.js';
import { bedside, container } from '../../support/bedside.js';

const DYE = 'acridine-orange-working';
const at = { at: '2026-11-25T09:00:00.000Z', uncertaintyMs: 0 };
const codes = (facts: Parameters<typeof whyUnusable>[0], forPatients = true) =>
  whyUnusable(facts, DYE, at, forPatients).map(({ code }) => code);

// 42 CFR 493.1252(b), ISO 15189:2022 6.6.2: stored as the maker says.
describe('A hold', () => {
  const hold = (decided: { at: string; usable: boolean } | null, from = at.at) =>
    container(DYE, { holds: [{ kind: 'storage excursion', from, reason: 'too warm', decided }] });

  it('speaks against a use from its first instant on, until it is decided that it may be used', () => {
    expect(codes(hold(null))).toEqual(['on-hold']);
    expect(codes(hold(null, '2026-11-25T09:00:00.001Z'))).toEqual([]);
    expect(codes(hold({ at: '2026-11-25T10:00:00.000Z', usable: true }))).toEqual([]);
    expect(codes(hold({ at: '2026-11-25T10:00:00.000Z', usable: false }))).toEqual(['on-hold']);
  });

  it('sends a container off the shelf only once it is decided that it must not be used', () => {
    const leaves = (decided: { at: string; usable: boolean } | null) =>
      leavingReasons(hold(decided), undefined, at.at).map(({ code }) => code);
    expect(leaves(null)).toEqual([]);
    expect(leaves({ at: at.at, usable: false })).toEqual(['on-hold']);
    expect(leaves({ at: at.at, usable: true })).toEqual([]);
  });
});

// 21 CFR 809.10(c)(2)(i); 42 CFR 493.1253(b)(2).
it('A research product may be used for patients only after a verification, and without patients at once', () => {
  const base = container(DYE);
  const research = (verifiedAt?: string[]) => ({
    ...base,
    lot: { ...base.lot, intendedUse: 'research only' as const, ...(verifiedAt && { verifiedAt }) },
  });
  expect(codes(research())).toEqual(['research-only']);
  expect(codes(research(), false)).toEqual([]);
  expect(codes(research([at.at]))).toEqual([]);
  expect(codes(research(['2026-11-25T09:00:00.001Z']))).toEqual(['research-only']);
});

describe('Parts of a kit in one run', () => {
  const facts = (lots: [string, string], intendedUse?: 'analyte specific') => {
    const run = bedside();
    let n = 0;
    return {
      ...run,
      containers: run.containers.map((each) => {
        const lot = n < 2 ? { ...each.lot, kit: { name: 'Quill kit', lot: lots[n] ?? '' } } : each.lot;
        n += 1;
        return { ...each, lot: { ...lot, ...(intendedUse && { intendedUse }) } };
      }),
    };
  };
  const rules = (run: ReturnType<typeof facts>) =>
    judge(run).subjects.flatMap(({ points }) => points.at(-1)?.findings.map(({ rule }) => rule) ?? []);

  // 42 CFR 493.1252(e): components of kits of different lot numbers are not interchanged.
  it('are of one kit lot, or the run is held', () => {
    expect(rules(facts(['K-1', 'K-1']))).not.toContain('kit-mixed');
    expect(rules(facts(['K-1', 'K-2']))).toContain('kit-mixed');
    const [subject] = judge(facts(['K-1', 'K-2'])).subjects;
    expect(subject?.points.at(-1)?.verdict).toBe('held');
  });

  // 21 CFR 809.30(e): the report names the laboratory that developed the test.
  it('that are analyte specific leave a note for the report and hold nothing', () => {
    const noted = judge(facts(['K-1', 'K-1'], 'analyte specific')).subjects[0]?.points.at(-1);
    expect(noted?.findings.filter(({ rule }) => rule === 'analyte-specific').length).toBeGreaterThan(0);
    expect(noted?.verdict).toBe(judge(facts(['K-1', 'K-1'])).subjects[0]?.points.at(-1)?.verdict);
  });
});
