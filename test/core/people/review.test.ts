import { describe, expect, it } from '@jest/globals';
import {
  checkArea,
  checkGrant,
  checkPeriod,
  checkProtocol,
  grantAt,
  grantStanding,
  type ReviewGrant,
} from '../../../src/core/people/review.js';
import { rolesAt, tenures } from '../../../src/core/people/tenure.js';

const at = (day: number): string => `2026-11-${String(day).padStart(2, '0')}T00:00:00.000Z`;

const grant = (changes: Partial<ReviewGrant> = {}): ReviewGrant => ({
  id: 'one',
  from: at(1),
  to: at(10),
  validFrom: at(12),
  validUntil: at(20),
  protocols: null,
  areas: null,
  revokedAt: null,
  ...changes,
});

describe('A grant', () => {
  it.each([
    [11, 'to come'],
    [12, 'valid'],
    [19, 'valid'],
    [20, 'ended'],
  ])('from the 12th until before the 20th is on the %dth %s', (day, standing) => {
    expect(grantStanding(grant(), at(day))).toBe(standing);
  });

  it('taken back stays so, from that instant on', () => {
    expect(grantStanding(grant({ revokedAt: at(15) }), at(14))).toBe('valid');
    expect(grantStanding(grant({ revokedAt: at(15) }), at(25))).toBe('revoked');
  });

  it('that was given last counts while it is valid, and the refusal tells the nearest', () => {
    const [first, later] = [grant(), grant({ id: 'two', validUntil: at(14) })];
    expect(grantAt([first, later], at(13)).id).toBe('two');
    expect(grantAt([first, later], at(15)).id).toBe('one');
    for (const [grants, day, words] of [
      [[], 13, 'Nobody has given you access'],
      [[first], 11, `begins on ${at(12)}`],
      [[first, grant({ revokedAt: at(13) })], 25, `ended on ${at(20)}`],
      [[grant({ revokedAt: at(13) })], 14, `taken back on ${at(13)}`],
    ] as const) {
      expect(() => grantAt(grants, at(day))).toThrow(words);
    }
  });

  it('that opens nothing is refused', () => {
    expect(() => checkGrant(grant(), at(13))).not.toThrow();
    expect(() => checkGrant(grant({ to: at(1) }), at(13))).toThrow();
    expect(() => checkGrant(grant({ validUntil: at(12) }), at(11))).toThrow();
    expect(() => checkGrant(grant(), at(20))).toThrow();
  });

  it('covers a period only as a whole, and nothing limits who has none', () => {
    const scope = grant({ protocols: ['pas'], areas: ['stock'] });
    expect(() => checkPeriod(scope, { from: at(1), to: at(10) })).not.toThrow();
    expect(() => checkPeriod(scope, { from: at(1), to: at(11) })).toThrow('ask for days within');
    expect(() => checkPeriod(null, { from: at(1), to: at(30) })).not.toThrow();
    expect(() => checkProtocol(scope, 'pas')).not.toThrow();
    expect(() => checkProtocol(scope, 'gms')).toThrow();
    expect(() => checkArea(scope, 'stock')).not.toThrow();
    expect(() => checkArea(scope, 'people')).toThrow();
  });
});

describe('Tenure', () => {
  const given = [
    { at: at(1), roles: ['technician'] },
    { at: at(5), roles: ['director', 'releaser'] },
    { at: at(6), roles: ['director'] },
    { at: at(9), roles: ['manager'] },
    { at: at(12), roles: ['director'] },
  ] as const;

  it('is what the roles given until then say', () => {
    expect(rolesAt(given, at(4))).toEqual(['technician']);
    expect(rolesAt(given, at(5))).toEqual(['director', 'releaser']);
    expect(rolesAt(given, '2026-10-01T00:00:00.000Z')).toEqual([]);
  });

  it('joins spans that follow one another, and stays open at the end', () => {
    expect(tenures(given, 'director')).toEqual([
      { from: at(5), until: at(9) },
      { from: at(12), until: null },
    ]);
    expect(tenures(given, 'reviewer')).toEqual([]);
  });
});
