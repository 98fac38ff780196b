import { describe, expect, it } from '@jest/globals';
import {
  checkTerm,
  holdsOn,
  keptUntil,
  type LegalHold,
  termPassed,
  yearsKept,
} from '../../../src/core/keeping/keeping.js';
import { KEPT_KINDS } from '../../../src/core/keeping/kinds.js';
import { Refusal } from '../../../src/core/refusal.js';
import { plusMs } from '../../../src/core/time/instant.js';

const held = (changes: Partial<LegalHold> = {}): LegalHold => ({
  ...{ kinds: ['bench'], from: null, to: null, lifted: false },
  ...changes,
});
const refusal = (work: () => void): string => {
  try {
    work();
  } catch (error) {
    if (error instanceof Refusal) return error.code;
    throw error;
  }
  return 'none';
};

describe('For how long records are kept', () => {
  it('has the floors of 42 CFR 493.1105(a): two years, ten for pathology reports', () => {
    const floors = Object.fromEntries(KEPT_KINDS.map(({ code, floorYears }) => [code, floorYears]));
    expect(floors['results']).toBe(10);
    expect(KEPT_KINDS.filter(({ floorYears }) => floorYears !== 2).map(({ code }) => code)).toEqual(['results']);
    for (const { clause } of KEPT_KINDS) expect(clause).toContain('493.1105(a)');
  });

  it('is the laboratory’s own term, never less than the floor', () => {
    expect(yearsKept('bench', [])).toBe(2);
    const terms = [
      { kind: 'bench' as const, years: 10 },
      { kind: 'bench' as const, years: 7 },
    ];
    expect(yearsKept('bench', terms)).toBe(7);
    expect(yearsKept('results', [{ kind: 'results', years: 5 }])).toBe(10);
  });

  it('is never made shorter than the law has it, nor at all under a hold', () => {
    const terms = [{ kind: 'bench' as const, years: 7 }];
    const ask = (years: number, holds: LegalHold[] = []) =>
      refusal(() => checkTerm({ kind: 'bench', years }, terms, holds));
    expect([ask(1), ask(101), ask(7), ask(2), ask(8)]).toEqual([
      'under-floor',
      'too-long',
      'unchanged',
      'none',
      'none',
    ]);
    expect([ask(6, [held()]), ask(8, [held()])]).toEqual(['under-hold', 'none']);
    expect([ask(6, [held({ lifted: true })]), ask(6, [held({ kinds: null })])]).toEqual(['none', 'under-hold']);
    expect(refusal(() => checkTerm({ kind: 'results', years: 9 }, [], []))).toBe('under-floor');
    expect(holdsOn('stock', [held(), held({ kinds: null })])).toHaveLength(1);
  });

  it('runs to the end of a local day, and what is past by one reckoning is past by the other', () => {
    const zone = 'Atlantic/Azores';
    const day = 86_400_000;
    expect(keptUntil('2026-11-25T09:00:00.000Z', 2, zone)).toBe('2028-11-26T01:00:00.000Z');
    expect(termPassed('2028-11-26T01:00:00.000Z', 2, zone)).toBe('2026-11-26T01:00:00.000Z');
    expect(termPassed('2028-11-26T00:59:59.999Z', 2, zone)).toBe('2026-11-25T01:00:00.000Z');
    for (let n = 0; n < 1500; n += 13) {
      const at = plusMs('2023-01-01T02:30:00.000Z', n * day);
      const end = keptUntil(at, 2, zone);
      // Past at its end, but for a leap day's sake at most a day later; never before it.
      expect(at < termPassed(plusMs(end, day), 2, zone)).toBe(true);
      expect(at < termPassed(plusMs(end, -1), 2, zone)).toBe(false);
    }
  });
});
