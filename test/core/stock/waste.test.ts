import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { poissonCdf } from '../../../src/core/statistics/poisson.js';
import {
  expectedShortage,
  expectedWaste,
  orderCap,
  orderCapAtRisk,
  probabilityOfWaste,
  totalWaste,
  type UncertainDemand,
} from '../../../src/core/stock/waste.js';
import { miss, published } from './published.js';

const { expected_waste, order_cap_normal, order_cap_poisson, order_cap_fefo_deterministic } = published<{
  expected_waste: {
    demand_until_expiry: UncertainDemand;
    quantity: number;
    expected_waste: number;
    probability_some_waste: number;
    expected_unmet: number;
  }[];
  order_cap_normal: {
    mean_daily: number;
    sd_daily: number;
    usable_days_after_arrival: number;
    stock_at_arrival_used_first: number;
    probability_all_used: number;
    max_order_units: number;
  }[];
  order_cap_poisson: {
    poisson_daily: number;
    usable_days_after_arrival: number;
    stock_at_arrival_used_first: number;
    probability_all_used: number;
    max_order_units: number;
    prob_at_max: number;
    prob_one_more: number;
  }[];
  order_cap_fefo_deterministic: {
    id: string;
    lots: { lot: string; qty: number; last_day: number; arrives: number }[];
    daily_demand: number;
    horizon_days: number;
    new_lot_arrives_day: number;
    new_lot_last_day: number;
    max_order_without_extra_waste: number;
    waste_without_order: number;
  }[];
}>('more-inventory');

it('all published examples of waste and caps are here', () => {
  const all = [expected_waste, order_cap_normal, order_cap_poisson, order_cap_fefo_deterministic];
  expect(all.map((list) => list.length)).toEqual([7, 6, 5, 10]);
});

describe('expected waste', () => {
  it.each(expected_waste)(
    'of $quantity for $demand_until_expiry',
    ({ demand_until_expiry: demand, quantity, ...row }) => {
      const waste = expectedWaste(demand, quantity);
      expect(miss(waste, row.expected_waste)).toBeLessThan(1e-8);
      expect(miss(probabilityOfWaste(demand, quantity), row.probability_some_waste)).toBeLessThan(1e-8);
      const unmet = demand.kind === 'normal' ? expectedShortage(demand, quantity) : demand.mean - quantity + waste;
      expect(Math.abs(unmet - row.expected_unmet)).toBeLessThan(1e-8);
    },
  );

  it('of a sure demand is what lies above it', () => {
    const sure = { kind: 'normal', mean: 40, sd: 0 } as const;
    expect([expectedWaste(sure, 50), expectedWaste(sure, 30), expectedShortage(sure, 30)]).toEqual([10, 0, 10]);
    expect([probabilityOfWaste(sure, 40), probabilityOfWaste(sure, 41)]).toEqual([0, 1]);
  });
});

describe('the cap at a risk', () => {
  it.each(order_cap_normal)('for $mean_daily a day with sd $sd_daily at $probability_all_used', (row) => {
    const days = row.usable_days_after_arrival;
    const demand = { kind: 'normal', mean: row.mean_daily * days, sd: row.sd_daily * Math.sqrt(days) } as const;
    const cap = orderCapAtRisk(demand, row.stock_at_arrival_used_first, row.probability_all_used);
    expect(cap).toBe(row.max_order_units);
  });

  it.each(order_cap_poisson)('for a Poisson demand of $poisson_daily a day', (row) => {
    const mean = row.poisson_daily * row.usable_days_after_arrival;
    const cap = orderCapAtRisk({ kind: 'poisson', mean }, row.stock_at_arrival_used_first, row.probability_all_used);
    expect(cap).toBe(row.max_order_units);
    const used = (quantity: number) => 1 - poissonCdf(row.stock_at_arrival_used_first + quantity - 1, mean);
    expect(miss(used(cap), row.prob_at_max)).toBeLessThan(1e-8);
    expect(miss(used(cap + 1), row.prob_one_more)).toBeLessThan(1e-8);
  });

  it('shrinks as more certainty is asked for', () => {
    const share = fc.double({ min: 0.01, max: 0.99, noNaN: true });
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 80, noNaN: true }),
        fc.nat(40),
        share,
        share,
        (mean, stock, one, other) => {
          const [low, high] = [one, other].sort((a, b) => a - b) as [number, number];
          const cap = (p: number) => orderCapAtRisk({ kind: 'poisson', mean }, stock, p);
          expect(cap(high)).toBeLessThanOrEqual(cap(low));
        },
      ),
    );
  });

  it('is not asked for certainty', () => {
    expect(() => orderCapAtRisk({ kind: 'poisson', mean: 3 }, 0, 1)).toThrow(/above 0 and below 1/);
  });
});

describe('the cap under a known demand', () => {
  it.each(order_cap_fefo_deterministic)('$id', (row) => {
    const lots = row.lots.map(({ lot, qty, last_day, arrives }) => ({
      lot,
      quantity: qty,
      lastDay: last_day,
      arrives,
    }));
    const demand = Array<number>(row.horizon_days).fill(row.daily_demand);
    const order = { lot: 'new', arrives: row.new_lot_arrives_day, lastDay: row.new_lot_last_day };
    expect(totalWaste(lots, demand)).toBe(row.waste_without_order);
    expect(orderCap(lots, demand, order)).toBe(row.max_order_without_extra_waste);
  });

  const lotsOf = fc.array(
    fc.record({ lot: fc.constantFrom('a', 'b', 'c'), quantity: fc.nat(30), arrives: fc.nat(8), lastDay: fc.nat(20) }),
    { maxLength: 5 },
  );
  const demandOf = fc.array(fc.nat(6), { minLength: 21, maxLength: 21 });
  const newLot = fc.record({ lot: fc.constant('new'), arrives: fc.nat(10), lastDay: fc.nat(20) });

  it('never lets more expire than would without the order, and one pack more would', () => {
    fc.assert(
      fc.property(lotsOf, demandOf, newLot, fc.integer({ min: 1, max: 7 }), (lots, demand, order, pack) => {
        const waste = (quantity: number) => totalWaste([...lots, { ...order, quantity }], demand);
        const cap = orderCap(lots, demand, order, pack);
        expect(cap % pack).toBe(0);
        expect(waste(cap)).toBe(waste(0));
        expect(waste(cap + pack)).toBeGreaterThan(waste(0));
        for (let quantity = 0; quantity <= cap; quantity += pack) expect(waste(quantity)).toBe(waste(0));
      }),
    );
  });

  it('is not asked beyond the demand that is known', () => {
    expect(() => orderCap([], [1, 1], { lot: 'new', arrives: 0, lastDay: 2 })).toThrow(
      /known for 2 days, but a lot can be used until day 2; give the demand of 3 days/,
    );
  });
});
