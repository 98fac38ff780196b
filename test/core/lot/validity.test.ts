import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { unusableReasons, type ContainerUse } from '../../../src/core/lot/validity.js';
import type { Stamp } from '../../../src/core/time/duration.js';
import { instantOf } from '../../../src/core/time/instant.js';

const at = (clock: string, uncertaintyMs: number | null = 0): Stamp => ({
  at: `2026-11-25T${clock}.000Z`,
  uncertaintyMs,
});
const good: ContainerUse = {
  containerId: 'AO-7',
  reagent: 'acridine-orange',
  wanted: ['acridine-orange'],
  lotStanding: [{ at: '2026-11-20T09:00:00.000Z', standing: 'accepted' }],
  condition: [{ at: '2026-11-25T08:00:00.000Z', state: 'opened' }],
  limits: [
    { by: 'opened', until: '2026-11-25T16:00:00.000Z' },
    { by: 'expiry', until: '2026-12-01T00:00:00.000Z' },
  ],
  forPatients: true,
};
const codes = (facts: Partial<ContainerUse>, when: Stamp) =>
  unusableReasons({ ...good, ...facts }, when).map(({ code }) => code);

describe('unusableReasons', () => {
  it('finds none for the right, accepted, opened container within its limits', () => {
    expect(unusableReasons(good, at('09:00:00'))).toEqual([]);
  });

  it('reports every reason, with what it was measured against and what mends it', () => {
    const reasons = unusableReasons(
      {
        ...good,
        reagent: 'eosin-y',
        wanted: ['acridine-orange', 'acridine-orange-ready'],
        lotStanding: [{ at: '2026-11-21T09:00:00.000Z', standing: 'recalled' }],
        condition: [{ at: '2026-11-25T12:00:00.000Z', state: 'emptied' }],
        limits: [
          { by: 'component 2: expiry', until: '2026-11-25T10:00:00.000Z' },
          { by: 'prepared', until: '2026-11-25T11:00:00.000Z' },
          { by: 'opened', until: '2026-11-25T12:00:00.000Z' },
          { by: 'expiry', until: '2026-11-25T13:00:00.000Z' },
        ],
      },
      at('14:00:00'),
    );
    expect(reasons.map(({ code, against }) => [code, against])).toEqual([
      ['wrong-reagent', undefined],
      ['lot-recalled', '2026-11-21T09:00:00.000Z'],
      ['emptied', '2026-11-25T12:00:00.000Z'],
      ['past-preparation-life', '2026-11-25T10:00:00.000Z'],
      ['past-preparation-life', '2026-11-25T11:00:00.000Z'],
      ['past-opened-life', '2026-11-25T12:00:00.000Z'],
      ['past-expiry', '2026-11-25T13:00:00.000Z'],
    ]);
    expect(reasons[0]?.message).toBe(
      'container AO-7 holds eosin-y; the step wants acridine-orange or acridine-orange-ready',
    );
    expect(reasons[3]?.message).toContain('component 2: expiry');
  });

  it('takes what is accepted instead', () => {
    expect(codes({ reagent: 'xylene-substitute', wanted: ['xylene', 'xylene-substitute'] }, at('09:00:00'))).toEqual(
      [],
    );
  });

  describe('on the lot', () => {
    it('takes the standing at that instant, whatever came later and in whatever order', () => {
      const lotStanding: ContainerUse['lotStanding'] = [
        { at: '2026-11-25T11:00:00.000Z', standing: 'recalled' },
        { at: '2026-11-25T09:00:00.000Z', standing: 'quarantined' },
        { at: '2026-11-25T10:00:00.000Z', standing: 'accepted' },
      ];
      expect(codes({ lotStanding }, at('09:59:59'))).toEqual(['lot-quarantined']);
      expect(codes({ lotStanding }, at('10:00:00'))).toEqual([]);
      expect(codes({ lotStanding }, at('10:59:59'))).toEqual([]);
      expect(codes({ lotStanding }, at('11:00:00'))).toEqual(['lot-recalled']);
    });

    it('takes the later record of two decisions at one instant', () => {
      const when = '2026-11-25T09:00:00.000Z';
      const lotStanding: ContainerUse['lotStanding'] = [
        { at: when, standing: 'accepted' },
        { at: when, standing: 'rejected' },
      ];
      expect(codes({ lotStanding }, at('09:00:00'))).toEqual(['lot-rejected']);
    });

    it('holds one without a decision quarantined, for patients only', () => {
      expect(codes({ lotStanding: [] }, at('09:00:00'))).toEqual(['lot-quarantined']);
      expect(codes({ lotStanding: [], forPatients: false }, at('09:00:00'))).toEqual([]);
    });

    it.each(['rejected', 'recalled'] as const)('keeps one %s out of runs without patients too', (standing) => {
      const lotStanding = [{ at: '2026-11-20T09:00:00.000Z', standing }];
      expect(codes({ lotStanding, forPatients: false }, at('09:00:00'))).toEqual([`lot-${standing}`]);
    });
  });

  describe('on the container', () => {
    it('asks that it was opened by then', () => {
      expect(codes({}, at('07:59:59'))).toEqual(['not-opened']);
      expect(codes({}, at('08:00:00'))).toEqual([]);
      expect(codes({ condition: [] }, at('09:00:00'))).toEqual(['not-opened']);
    });

    it.each(['emptied', 'discarded'] as const)('finds one %s from that instant on', (state) => {
      const condition = [...good.condition, { at: '2026-11-25T10:00:00.000Z', state }];
      expect(codes({ condition }, at('09:59:59'))).toEqual([]);
      expect(codes({ condition }, at('10:00:00'))).toEqual([state]);
    });
  });

  // JCGM 106:2012 guard bands on a half-open limit: in use before it for certain, over at or after it for certain.
  describe('at a limit at 16:00:00', () => {
    it.each([
      ['15:59:59', 0, []],
      ['16:00:00', 0, ['past-opened-life']],
      ['15:59:57', 2999, []],
      ['15:59:57', 3000, ['limit-undecided']],
      ['16:00:03', 3001, ['limit-undecided']],
      ['16:00:03', 3000, ['past-opened-life']],
    ])('judges %s give or take %d ms as %p', (clock, uncertaintyMs, expected) => {
      expect(codes({}, at(clock, uncertaintyMs))).toEqual(expected);
    });

    it('decides no limit for a clock that was never set, and finds nothing where there is no limit', () => {
      expect(codes({}, at('09:00:00', null))).toEqual(['limit-undecided', 'limit-undecided']);
      expect(codes({ limits: [] }, at('09:00:00', null))).toEqual([]);
    });

    it('says what is to be stated', () => {
      const [reason] = unusableReasons(good, at('15:59:59', 30_000));
      expect(reason).toMatchObject({ code: 'limit-undecided', against: '2026-11-25T16:00:00.000Z' });
      expect(reason?.message).toContain('give or take 30000 ms');
    });
  });

  it('judges any limit as every instant that the stamp covers would be', () => {
    const limit = Date.parse('2026-11-25T16:00:00.000Z');
    fc.assert(
      fc.property(fc.integer({ min: -500, max: 500 }), fc.integer({ min: 0, max: 600 }), (off, uncertaintyMs) => {
        const truths = Array.from({ length: 2 * uncertaintyMs + 1 }, (_, i) => limit + off - uncertaintyMs + i);
        const before = truths.filter((truth) => truth < limit).length;
        const expected = before === truths.length ? [] : before === 0 ? ['past-opened-life'] : ['limit-undecided'];
        const limits: ContainerUse['limits'] = [{ by: 'opened', until: instantOf(limit) }];
        expect(codes({ limits }, { at: instantOf(limit + off), uncertaintyMs })).toEqual(expected);
      }),
    );
  });
});
