import { describe, expect, it } from '@jest/globals';
import { lockedUntil, waitAfter } from '../../../src/core/people/lockout.js';
import { sessionEnd } from '../../../src/core/people/session.js';
import { rolesFault } from '../../../src/core/people/roles.js';

describe('The wait after wrong passwords', () => {
  it('costs a person who mistypes nothing', () => {
    expect([0, 1, 2].map(waitAfter)).toEqual([0, 0, 0]);
    expect(lockedUntil(2, '2026-11-25T09:00:00.000Z')).toBeNull();
  });

  it('doubles from one second to a quarter of an hour', () => {
    expect([3, 4, 5, 12, 13, 1000].map(waitAfter)).toEqual([1000, 2000, 4000, 512_000, 900_000, 900_000]);
    expect(lockedUntil(5, '2026-11-25T09:00:00.000Z')).toBe('2026-11-25T09:00:04.000Z');
  });

  // NIST SP 800-63B-3 section 5.2.2 (from memory): no more than 100 failed tries in a row on one account.
  it('leaves a guesser fewer than 120 tries in the first day', () => {
    let elapsed = 0;
    let tries = 0;
    while (elapsed < 24 * 60 * 60 * 1000) {
      tries += 1;
      elapsed += waitAfter(tries);
    }
    expect(tries).toBeLessThan(120);
  });
});

describe('A session', () => {
  it('ends two hours after its last use and twelve after its begin', () => {
    expect(sessionEnd('2026-11-25T09:00:00.000Z', '2026-11-25T10:30:00.000Z')).toBe('2026-11-25T12:30:00.000Z');
    expect(sessionEnd('2026-11-25T09:00:00.000Z', '2026-11-25T20:00:00.000Z')).toBe('2026-11-25T21:00:00.000Z');
  });
});

describe('Roles', () => {
  it('go together unless one of them only reads', () => {
    expect(rolesFault(['technician', 'releaser'])).toBeNull();
    expect(rolesFault(['reviewer'])).toBeNull();
    expect(rolesFault(['reviewer', 'manager'])).toContain('alone');
    expect(rolesFault([])).toContain('at least one');
  });
});
