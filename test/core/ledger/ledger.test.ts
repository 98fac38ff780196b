import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { changeMicro, countedMicro, microOf, quantityOf } from '../../../src/core/ledger/amount.js';
import { varianceOf } from '../../../src/core/ledger/count.js';
import { MOVEMENT_KINDS, type MovementKind } from '../../../src/core/ledger/kinds.js';
import { checkMovement } from '../../../src/core/ledger/movement.js';
import { valueCents, wasteByMonth } from '../../../src/core/ledger/value.js';
import { Refusal } from '../../../src/core/refusal.js';

const refusal = (work: () => unknown): [string, string, string | undefined] => {
  try {
    work();
  } catch (error) {
    if (error instanceof Refusal) return [error.kind, error.code, error.problems[0]?.at];
    throw error;
  }
  throw new Error('nothing was refused');
};

describe('amounts', () => {
  it('are kept in whole millionths of the declared unit', () => {
    expect(microOf({ value: 0.5, unit: 'L' }, 'mL', 'amount')).toBe(500_000_000);
    expect(microOf({ value: 0.1, unit: 'mL' }, 'mL', 'amount')).toBe(100_000);
    expect(changeMicro({ value: -250, unit: 'uL' }, 'mL', 'amount')).toBe(-250_000);
    expect(countedMicro({ value: 0, unit: 'mL' }, 'mL', 'amount')).toBe(0);
    expect(quantityOf(1_500_000, 'g')).toEqual({ value: 1.5, unit: 'g' });
  });

  it('are refused by field when they are of another kind, negative, absurd or nothing', () => {
    expect(refusal(() => microOf({ value: 1, unit: 'g' }, 'mL', 'amount'))).toEqual([
      'invalid',
      'unit-mismatch',
      'amount',
    ]);
    expect(refusal(() => microOf({ value: 1, unit: 'µL' }, 'mL', 'amount'))).toEqual([
      'invalid',
      'wrong-unit',
      'amount',
    ]);
    for (const value of [0, -1, Number.NaN, Number.POSITIVE_INFINITY, 1e-9, 1e13]) {
      expect(refusal(() => microOf({ value, unit: 'mL' }, 'mL', 'amount'))).toEqual([
        'invalid',
        'bad-quantity',
        'amount',
      ]);
    }
    expect(refusal(() => countedMicro({ value: -1, unit: 'mL' }, 'mL', 'amount'))[1]).toBe('bad-quantity');
    expect(refusal(() => changeMicro({ value: 0, unit: 'mL' }, 'mL', 'amount'))[1]).toBe('bad-quantity');
  });
});

describe('movements', () => {
  const amount = fc.integer({ min: -1_000, max: 1_000 });
  const movement = fc.record({
    container: fc.constantFrom('a', 'b', 'c'),
    kind: fc.constantFrom(...MOVEMENT_KINDS),
    micro: amount,
  });

  it('sum to a model’s stock after any sequence, and none takes a container below nothing', () => {
    fc.assert(
      fc.property(fc.array(movement, { maxLength: 60 }), (sequence) => {
        const booked: { container: string; micro: number }[] = [];
        const model = new Map<string, number>();
        for (const { container, kind, micro } of sequence) {
          const onHand = booked
            .filter((each) => each.container === container)
            .reduce((sum, each) => sum + each.micro, 0);
          try {
            checkMovement({ kind, micro }, { onHand, unit: 'mL', label: container });
          } catch (error) {
            if (!(error instanceof Refusal) && !(error instanceof RangeError)) throw error;
            continue;
          }
          booked.push({ container, micro });
          model.set(container, (model.get(container) ?? 0) + micro);
          expect(model.get(container)).toBeGreaterThanOrEqual(0);
          expect(onHand + micro).toBe(model.get(container));
        }
      }),
      { numRuns: 500 },
    );
  });

  it('are refused with what is left when there is not enough, and never of the wrong sign', () => {
    const held = { onHand: 2_000_000, unit: 'mL', label: 'SW1:C:QY-001' };
    expect(refusal(() => checkMovement({ kind: 'used', micro: -2_000_001 }, held))).toEqual([
      'conflict',
      'not-enough',
      undefined,
    ]);
    const wrong: [MovementKind, number][] = [
      ['used', 1],
      ['received', -1],
      ['moved', 1],
      ['used', 0],
      ['discarded', 0.5],
    ];
    for (const [kind, micro] of wrong) expect(() => checkMovement({ kind, micro }, held)).toThrow(RangeError);
    expect(() => checkMovement({ kind: 'used', micro: 0, shortMicro: 5 }, held)).not.toThrow();
  });
});

describe('a count', () => {
  const at = { label: 'SW1:C:QY-001', unit: 'mL', expected: 10_000_000, counted: 8_000_000 };

  it('is off by counted less expected, and asks for a reason when it is', () => {
    expect(varianceOf({ ...at, reason: 'spilt' })).toBe(-2_000_000);
    expect(varianceOf({ ...at, counted: 10_000_000 })).toBe(0);
    expect(() => varianceOf(at)).toThrow(/holds 10 mL by the ledger and you found 8 mL, 2 mL less/);
  });
});

describe('value and waste', () => {
  it('is in proportion to what is left, and unknown without a price or a size', () => {
    expect(valueCents({ micro: 25, full: 100, priceCents: 8_000 })).toBe(2_000);
    expect(valueCents({ micro: 25, full: 100, priceCents: null })).toBeNull();
    expect(valueCents({ micro: 25, full: null, priceCents: 8_000 })).toBeNull();
  });

  it('adds up by month and reagent, the latest month first', () => {
    const part = { reagent: 'eosin', month: '2026-10', how: 'discarded' as const, full: 100, priceCents: 1_000 };
    expect(
      wasteByMonth([
        { ...part, micro: 10 },
        { ...part, micro: 20, how: 'expired' },
        { ...part, micro: 5, priceCents: null },
        { ...part, micro: 50, month: '2026-11', reagent: 'saline' },
      ]),
    ).toEqual([
      { month: '2026-11', reagent: 'saline', discarded: 50, expired: 0, cents: 500, unpriced: 0 },
      { month: '2026-10', reagent: 'eosin', discarded: 15, expired: 20, cents: 300, unpriced: 1 },
    ]);
  });
});
