import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { LOT_STANDINGS } from '../../../src/core/lot/lot.js';
import {
  allocateFefo,
  type DatedLot,
  lastDayToOrder,
  simulateFefo,
  type Stocked,
} from '../../../src/core/stock/fefo.js';
import { instantOf } from '../../../src/core/time/instant.js';
import { published } from './published.js';

interface FefoExample {
  id: string;
  lots: { lot: string; qty: number; last_day: number; arrives: number }[];
  demand_per_day: number[];
  allocations: [number, string, number][];
  waste: Record<string, number>;
  left_at_end: Record<string, number>;
  unmet: [number, number][];
  served: number;
}

const { fefo } = published<{ fefo: FefoExample[] }>('more-inventory');

// Each served total was proven maximal by a linear program; the making stands in the file.
describe('the course of stock', () => {
  it('has all its examples here', () => expect(fefo).toHaveLength(10));

  it.each(fefo)('$id', (example) => {
    const lots = example.lots.map(({ lot, qty, last_day, arrives }) => ({
      lot,
      quantity: qty,
      lastDay: last_day,
      arrives,
    }));
    const { allocations, waste, left, unmet, served } = simulateFefo(lots, example.demand_per_day);
    expect(allocations.map(({ day, lot, quantity }) => [day, lot, quantity])).toEqual(example.allocations);
    expect(Object.fromEntries(waste)).toEqual(example.waste);
    expect(Object.fromEntries(left)).toEqual(example.left_at_end);
    expect(unmet.map(({ day, quantity }) => [day, quantity])).toEqual(example.unmet);
    expect(served).toBe(example.served);
  });

  const lotsOf = fc.array(
    fc.record({
      lot: fc.constantFrom('a', 'b', 'c', 'd'),
      quantity: fc.nat(40),
      arrives: fc.nat(12),
      lastDay: fc.nat(25),
    }),
    { maxLength: 8 },
  );
  const demandOf = fc.array(fc.nat(9), { minLength: 1, maxLength: 25 });

  it('serves nothing expired or not yet there, and nothing twice', () => {
    fc.assert(
      fc.property(lotsOf, demandOf, (lots, demand) => {
        const course = simulateFefo(lots, demand);
        for (const { day, lot, quantity } of course.allocations) {
          expect(quantity).toBeGreaterThan(0);
          expect(lots.some((l) => l.lot === lot && l.arrives <= day && day <= l.lastDay)).toBe(true);
        }
        expect(course.closing.every((quantity) => quantity >= 0)).toBe(true);
      }),
    );
  });

  it('keeps the sum of stock and the sum of demand', () => {
    fc.assert(
      fc.property(lotsOf, demandOf, (lots, demand) => {
        const { served, waste, left, unmet } = simulateFefo(lots, demand);
        const total = (values: Iterable<number>) => [...values].reduce((sum, x) => sum + x, 0);
        expect(served + total(waste.values()) + total(left.values())).toBe(total(lots.map((lot) => lot.quantity)));
        expect(served + total(unmet.map(({ quantity }) => quantity))).toBe(total(demand));
      }),
    );
  });

  it('serves no less with one lot more', () => {
    fc.assert(
      fc.property(lotsOf, demandOf, ([lot, ...others], demand) => {
        if (!lot) return;
        expect(simulateFefo([lot, ...others], demand).served).toBeGreaterThanOrEqual(
          simulateFefo(others, demand).served,
        );
      }),
    );
  });
});

describe('allocation at an instant', () => {
  const now = Date.parse('2026-11-25T10:00:00.000Z');
  const instant = fc.integer({ min: -3, max: 3 }).map((h) => instantOf(now + h * 3_600_000));
  const containers: fc.Arbitrary<Stocked[]> = fc
    .array(
      fc.record({
        usableUntil: fc.option(instant),
        quantity: fc.nat(50).map((n) => n / 10),
        receivedAt: instant,
        state: fc.constantFrom(...LOT_STANDINGS),
      }),
      { maxLength: 12 },
    )
    .map((list) => list.map((item, index) => ({ ...item, id: `c${index}` })));
  const at = instantOf(now);

  it('never serves what is expired or not accepted, never more than there is or is needed', () => {
    fc.assert(
      fc.property(
        containers,
        fc.nat(200).map((n) => n / 10),
        (stock, need) => {
          const { take, short } = allocateFefo(stock, need, at);
          for (const { id, quantity } of take) {
            const from = stock.find((container) => container.id === id)!;
            expect(from.state).toBe('accepted');
            expect(from.usableUntil === null || from.usableUntil > at).toBe(true);
            expect(quantity).toBeGreaterThan(0);
            expect(quantity).toBeLessThanOrEqual(from.quantity);
          }
          expect(new Set(take.map(({ id }) => id)).size).toBe(take.length);
          expect(short).toBeGreaterThanOrEqual(0);
          expect(take.reduce((sum, { quantity }) => sum + quantity, short)).toBeCloseTo(need, 9);
        },
      ),
    );
  });

  it('touches a later end only when every earlier one is used up', () => {
    fc.assert(
      fc.property(containers, fc.nat(200), (stock, need) => {
        const { take } = allocateFefo(stock, need, at);
        const until = (id: string) => stock.find((container) => container.id === id)!.usableUntil ?? '9';
        const ends = take.map(({ id }) => until(id));
        expect(ends).toEqual([...ends].sort());
        for (const { id, quantity } of take.slice(0, -1)) {
          expect(quantity).toBe(stock.find((container) => container.id === id)!.quantity);
        }
      }),
    );
  });

  it('is not short by the noise of binary fractions', () => {
    const piece = (id: string, quantity: number): Stocked => ({
      id,
      quantity,
      usableUntil: null,
      receivedAt: at,
      state: 'accepted',
    });
    expect(allocateFefo([piece('a', 0.1), piece('b', 0.2)], 0.3, at).short).toBe(0);
  });
});

describe('the last day to order', () => {
  const lot: DatedLot = { lot: 'a', quantity: 20, arrives: 0, lastDay: 99 };
  const twoADay = Array<number>(30).fill(2);
  const time = { leadTimeDays: 5, acceptanceDays: 1, safetyStock: 0 };

  // 20 at 2 a day serve days 0 to 9; day 10 needs what takes 6 days to come and be accepted.
  it.each([
    ['no safety stock', [lot], time, 4],
    ['a safety stock of three days', [lot], { ...time, safetyStock: 6 }, 1],
    ['an end before it is used up', [{ ...lot, lastDay: 6 }], time, 1],
    ['a part of a day counted whole', [lot], { ...time, leadTimeDays: 5.2 }, 3],
    ['a delivery on its way', [lot, { ...lot, lot: 'b', quantity: 8, arrives: 9 }], time, 8],
    ['nothing at all', [], time, -6],
    ['more than will be asked for', [{ ...lot, quantity: 99 }], time, null],
  ])('with %s', (_what, lots, ordering, day) => expect(lastDayToOrder(lots, twoADay, ordering)).toBe(day));
});
