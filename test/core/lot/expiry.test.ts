import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { limitsOf, usableAt, usableUntil, withComponents, type ContainerLife } from '../../../src/core/lot/expiry.js';
import { instantOf } from '../../../src/core/time/instant.js';

const zone = 'Europe/Lisbon';

describe('a working solution', () => {
  const prepared = '2026-11-25T08:00:00.000Z';
  const solution = (life: string, opened: string): ContainerLife => ({
    prepared: {
      at: prepared,
      life,
      components: [{ expiry: '2027-06-30', opened: { at: opened, life: 'P30D' } }, { expiry: '2026-11-25' }],
    },
  });
  const until = (container: ContainerLife) => usableUntil(limitsOf(container, zone));

  // 42 CFR 493.1252(d) as a minimum over the preparation and its components; the three worked values that go with it:
  // 8 h ends at 16:00, 24 h is cut by the second component's day, and one opened too long ago is over before it begins.
  it('ends with the first of its own life and those of its components', () => {
    expect(until(solution('PT8H', '2026-11-20T09:00:00.000Z'))).toBe('2026-11-25T16:00:00.000Z');
    expect(until(solution('PT24H', '2026-11-20T09:00:00.000Z'))).toBe('2026-11-26T00:00:00.000Z');
    expect(until(solution('PT8H', '2026-10-20T09:00:00.000Z'))).toBe('2026-11-20T00:00:00.000Z');
    expect(usableAt(limitsOf(solution('PT8H', '2026-10-20T09:00:00.000Z'), zone), prepared)).toBe(false);
  });

  it('made of a working solution names the component of the component', () => {
    const limits = limitsOf(
      { prepared: { at: prepared, life: 'P7D', components: [{ expiry: '2028-01' }, solution('PT8H', prepared)] } },
      zone,
    );
    expect(limits.map(({ by }) => by)).toEqual([
      'component 2: prepared',
      'component 2: component 2: expiry',
      'prepared',
      'component 2: component 1: opened',
      'component 2: component 1: expiry',
      'component 1: expiry',
    ]);
  });

  it('has the same limits whether its components come as lives or as limits reckoned before', () => {
    const { prepared: made } = solution('PT8H', '2026-11-20T09:00:00.000Z');
    if (!made) throw new Error('a solution is prepared');
    expect(
      withComponents(
        limitsOf({ prepared: { ...made, components: [] } }, zone),
        made.components.map((component) => limitsOf(component, zone)),
      ),
    ).toEqual(limitsOf({ prepared: made }, zone));
  });
});

describe('limits', () => {
  // Common practice, no source: of equal limits the label's own is named first.
  it('that fall together name the label first', () => {
    const same = { expiry: '2026-11-30', opened: { at: '2026-11-25T08:00:00.000Z', life: 'P5D' } };
    expect(limitsOf(same, zone).map(({ by }) => by)).toEqual(['expiry', 'opened']);
    const mixed = { ...same, prepared: { at: '2026-11-23T08:00:00.000Z', life: 'P1W', components: [same] } };
    expect(limitsOf(mixed, zone).map(({ by }) => by)).toEqual([
      'expiry',
      'opened',
      'prepared',
      'component 1: expiry',
      'component 1: opened',
    ]);
  });

  it('that are none never end, in a zone that must exist all the same', () => {
    expect(limitsOf({}, zone)).toEqual([]);
    expect(usableUntil([])).toBeNull();
    expect(usableAt([], '2999-01-01T00:00:00.000Z')).toBe(true);
    expect(() => limitsOf({}, 'Outer/Quill')).toThrow(expect.objectContaining({ code: 'unknown-zone' }));
  });
});

describe('any container', () => {
  const zones = fc.constantFrom('Europe/Lisbon', 'Africa/Cairo', 'America/Havana', 'Pacific/Chatham');
  const instants = fc.integer({ min: Date.UTC(2020, 0, 1), max: Date.UTC(2035, 0, 1) }).map(instantOf);
  const life = fc.record({
    at: instants,
    life: fc.constantFrom('P1D', 'P30D', 'P2W', 'P3M', 'P1Y', 'PT30M', 'PT8H', 'PT72H'),
  });
  const { container } = fc.letrec<{ container: ContainerLife }>((tie) => ({
    container: fc.record(
      {
        expiry: instants.map((at) => at.slice(0, 10)),
        opened: life,
        prepared: fc
          .tuple(life, fc.array(tie('container'), { maxLength: 3, depthIdentifier: 'mixture' }))
          .map(([own, components]) => ({ ...own, components })),
      },
      { requiredKeys: [] },
    ),
  }));

  it('is usable exactly before its first limit, and its limits are in order', () => {
    fc.assert(
      fc.property(container, zones, instants, (given, where, at) => {
        const limits = limitsOf(given, where);
        const end = usableUntil(limits);
        expect(limits.map(({ until }) => until)).toEqual(limits.map(({ until }) => until).sort());
        expect(usableAt(limits, at)).toBe(end === null || at < end);
        if (end !== null) {
          expect(usableAt(limits, end)).toBe(false);
          expect(usableAt(limits, instantOf(Date.parse(end) - 1))).toBe(true);
        }
      }),
    );
  });

  it('never outlives what went into it', () => {
    fc.assert(
      fc.property(life, fc.array(container, { minLength: 1, maxLength: 3 }), zones, (own, components, where) => {
        const end = usableUntil(limitsOf({ prepared: { ...own, components } }, where));
        for (const component of components) {
          const componentEnd = usableUntil(limitsOf(component, where));
          if (componentEnd !== null) expect(end !== null && end <= componentEnd).toBe(true);
        }
      }),
    );
  });

  it('never ends earlier for a later printed expiry', () => {
    fc.assert(
      fc.property(container, instants, instants, zones, (given, one, other, where) => {
        const [earlier, later] = [one.slice(0, 10), other.slice(0, 10)].sort();
        const end = (expiry: string | undefined) => String(usableUntil(limitsOf({ ...given, expiry }, where)));
        expect(end(earlier) <= end(later)).toBe(true);
      }),
    );
  });
});
