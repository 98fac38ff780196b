import { describe, expect, it } from '@jest/globals';
import {
  checkStateChange,
  CONTAINER_CONDITIONS,
  openedUntil,
  preparedLimits,
  suppliedLimits,
} from '../../../src/core/lot/receive.js';
import { CONTAINER_STATES } from '../../../src/core/lot/lot.js';

const NOW = '2026-11-25T09:00:00.000Z';

describe('Limits at receipt and preparation', () => {
  // 42 CFR 493.1252(d); a month-only date holds to the end of its month: common practice, no source.
  it('follow the print in the laboratory’s zone', () => {
    expect(suppliedLimits('2027-02', NOW, 'Europe/Lisbon')).toEqual([
      { by: 'expiry', until: '2027-03-01T00:00:00.000Z' },
    ]);
    expect(openedUntil(NOW, 'PT8H', 'Europe/Lisbon')).toBe('2026-11-25T17:00:00.000Z');
  });

  it('are refused beyond twenty years, with the field', () => {
    expect(() => suppliedLimits('2046-11-24', NOW, 'UTC')).not.toThrow();
    const refused = (at: string) =>
      expect.objectContaining({ kind: 'invalid', code: 'implausible', problems: [expect.objectContaining({ at })] });
    expect(() => suppliedLimits('2046-11-25', NOW, 'UTC')).toThrow(refused('expiry'));
    expect(() => openedUntil(NOW, 'P21Y', 'UTC')).toThrow(refused('openedLife'));
    expect(() => preparedLimits(NOW, 'P21Y', [], 'UTC')).toThrow(refused('life'));
  });

  it('of a preparation are those of its components too, and none may be over', () => {
    const component = [{ by: 'expiry' as const, until: '2026-11-26T00:00:00.000Z' }];
    expect(preparedLimits(NOW, 'P7D', [component], 'UTC').map(({ by }) => by)).toEqual([
      'component 1: expiry',
      'prepared',
    ]);
    expect(() => preparedLimits('2026-11-26T00:00:00.000Z', 'P7D', [component], 'UTC')).toThrow(
      expect.objectContaining({ kind: 'conflict', code: 'component-expired' }),
    );
  });
});

// Common practice, no source: what is discarded stays so, and nothing is opened twice.
describe('A change of a container’s state', () => {
  const change = (from: (typeof CONTAINER_CONDITIONS)[number], state: (typeof CONTAINER_STATES)[number], at = NOW) => {
    const states = from === 'unopened' ? [] : [{ at: '2026-11-24T09:00:00.000Z', state: from }];
    const known = { label: 'SW1:C:TEST-0001X', receivedAt: '2026-11-20T09:00:00.000Z', states };
    return () => checkStateChange({ state, at }, known, NOW);
  };

  it('follows the life of a container and nothing else', () => {
    const allowed = CONTAINER_CONDITIONS.flatMap((from) =>
      CONTAINER_STATES.flatMap((to) => {
        try {
          change(from, to)();
          return [`${from} → ${to}`];
        } catch {
          return [];
        }
      }),
    );
    expect(allowed).toEqual([
      'unopened → opened',
      'unopened → discarded',
      'opened → emptied',
      'opened → discarded',
      'emptied → discarded',
    ]);
    expect(change('discarded', 'opened')).toThrow('is discarded since 2026-11-24T09:00:00.000Z and cannot be opened');
  });

  it('happens between receipt or the last change and now, ends included', () => {
    expect(change('unopened', 'opened', '2026-11-20T09:00:00.000Z')).not.toThrow();
    expect(change('unopened', 'opened', '2026-11-20T08:59:59.999Z')).toThrow(
      expect.objectContaining({ code: 'before-receipt' }),
    );
    expect(change('opened', 'emptied', '2026-11-24T08:59:59.999Z')).toThrow(
      expect.objectContaining({ code: 'before-last-change' }),
    );
    expect(change('unopened', 'opened', '2026-11-25T09:00:00.001Z')).toThrow(
      expect.objectContaining({ code: 'future' }),
    );
  });
});
