import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computeExpiry } from '../../../src/core/lot/case.js';

interface ExpiryCase {
  id: string;
  what: string;
  expected: { usableUntil: string; usable: boolean; limits: { by: string; until: string }[] };
}

// Making and rule stand in the file: Python zoneinfo, 42 CFR 493.1252(d).
const { cases } = JSON.parse(readFileSync(new URL('../../vectors/expiry.json', import.meta.url), 'utf8')) as {
  cases: ExpiryCase[];
};

describe('the published expiry cases', () => {
  it('are all here', () => {
    expect(cases).toHaveLength(34);
  });

  it.each(cases)('$id $what', ({ expected, ...given }) => {
    expect(computeExpiry(given)).toEqual({ id: given.id, ...expected });
  });
});

describe('an expiry case that cannot be computed', () => {
  const at = '2026-11-25T08:00:00.000Z';
  const good = { id: 'X1', zone: 'Europe/Lisbon', at, container: { expiry: '2026-11-25' } };
  const holding = (container: unknown) => ({ ...good, container });

  it('is not this one', () => {
    expect(computeExpiry(good)).toMatchObject({ id: 'X1', usableUntil: '2026-11-26T00:00:00.000Z', usable: true });
  });

  it.each<[string, unknown, string, RegExp]>([
    ['nothing', undefined, 'malformed-case', /must be an object/],
    ['no id', { ...good, id: '' }, 'malformed-case', /^id is ""/],
    ['no zone', { ...good, zone: undefined }, 'malformed-case', /^zone is missing/],
    ['an unknown zone', { ...good, zone: 'Outer/Quill' }, 'unknown-zone', /Europe\/Lisbon/],
    ['an unknown zone and no limit', { ...holding({}), zone: 'Outer/Quill' }, 'unknown-zone', /Europe\/Lisbon/],
    ['a time that is none', { ...good, at: '2026-02-30T00:00:00.000Z' }, 'bad-instant', /existing date/],
    ['no container', holding(undefined), 'malformed-case', /^container must be an object/],
    ['a day that does not exist', holding({ expiry: '2026-02-30' }), 'bad-date', /no such day/],
    ['a number for an expiry', holding({ expiry: 20261125 }), 'malformed-case', /^container.expiry is 20261125/],
    ['a misspelt limit', holding({ expires: '2026-11-25' }), 'malformed-case', /^container.expires is not known/],
    ['an opening without a life', holding({ opened: { at } }), 'malformed-case', /^container.opened.life is missing/],
    ['a life in words', holding({ opened: { at, life: '30 days' } }), 'bad-life', /P30D/],
    ['a mixed life', holding({ opened: { at, life: 'P1DT12H' } }), 'bad-life', /never both/],
    [
      'components that are no list',
      holding({ prepared: { at, life: 'PT8H', components: {} } }),
      'malformed-case',
      /^container.prepared.components is {}/,
    ],
    [
      'a bad date deep in a component',
      holding({ prepared: { at, life: 'PT8H', components: [{ opened: { at: 'noon', life: 'P1D' } }] } }),
      'bad-instant',
      /"noon"/,
    ],
    [
      'a misspelt limit deep in a component',
      holding({ prepared: { at, life: 'PT8H', components: [{ expiry: '2026-12' }, { expire: '2026-12' }] } }),
      'malformed-case',
      /^container.prepared.components.1.expire is not known/,
    ],
  ])('has %s and says so', (_what, given, code, message) => {
    expect(() => computeExpiry(given)).toThrow(
      expect.objectContaining({ code, message: expect.stringMatching(message) }),
    );
  });
});
