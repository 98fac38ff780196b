import { describe, expect, it } from '@jest/globals';
import {
  economicOrder,
  fillRate,
  oneOffCount,
  oneOffOrder,
  orderWithPenalty,
  reorderPointForFillRate,
  yearlyCost,
} from '../../../src/core/stock/order-size.js';
import { expectedShortage } from '../../../src/core/stock/waste.js';
import { miss, published } from './published.js';

interface Eoq {
  id: string;
  annual_demand: number;
  order_cost: number;
  holding_cost_per_unit_year: number;
  eoq: number;
  relevant_cost: number;
  cost_at_rounded_to: { Q: number; cost: number };
  published?: { eoq: number };
}

interface Penalty {
  id: string;
  annual_demand: number;
  order_cost: number;
  holding: number;
  penalty: number;
  mean_lead_time_demand: number;
  sigma_lead_time_demand: number;
  Q: number;
  R: number;
  expected_shortage_per_cycle: number;
  published?: { Q: number; R: number };
}

const { eoq, service_of_sQ, QR_with_penalty, newsvendor_normal, newsvendor_poisson } = published<{
  eoq: Eoq[];
  service_of_sQ: {
    id: string;
    mean_lead_time_demand: number;
    sigma_lead_time_demand: number;
    reorder_point: number;
    order_quantity: number;
    expected_shortage_per_cycle: number;
    fill_rate: number;
    published?: { fill_rate?: number; expected_shortage_per_cycle?: number };
  }[];
  QR_with_penalty: Penalty[];
  newsvendor_normal: {
    id: string;
    mean: number;
    sd: number;
    underage: number;
    overage: number;
    Q: number;
    expected_leftover: number;
    expected_short: number;
    expected_cost: number;
    published?: { Q: number; Q_units: number };
  }[];
  newsvendor_poisson: {
    poisson_mean: number;
    underage: number;
    overage: number;
    Q: number;
    expected_leftover: number;
  }[];
}>('more-inventory');

it('all published examples of order sizes are here', () => {
  expect(
    [eoq, service_of_sQ, QR_with_penalty, newsvendor_normal, newsvendor_poisson].map((list) => list.length),
  ).toEqual([7, 6, 2, 4, 5]);
});

describe('the economic order', () => {
  it.each(eoq)('$id', (row) => {
    const costs = {
      demandPerYear: row.annual_demand,
      costPerOrder: row.order_cost,
      holdingPerUnitYear: row.holding_cost_per_unit_year,
    };
    const quantity = economicOrder(costs);
    expect(miss(quantity, row.eoq)).toBeLessThan(1e-8);
    expect(miss(yearlyCost(costs, quantity), row.relevant_cost)).toBeLessThan(1e-8);
    expect(miss(yearlyCost(costs, row.cost_at_rounded_to.Q), row.cost_at_rounded_to.cost)).toBeLessThan(1e-8);
    if (row.published) expect(Math.round(quantity)).toBe(row.published.eoq);
  });

  it('is not asked without a demand', () => {
    expect(() => economicOrder({ demandPerYear: 0, costPerOrder: 1, holdingPerUnitYear: 1 })).toThrow(
      /the demand per year is 0; give a number above 0/,
    );
  });
});

describe('the fill rate', () => {
  it.each(service_of_sQ)('$id', (row) => {
    const demand = { mean: row.mean_lead_time_demand, sd: row.sigma_lead_time_demand };
    const rate = fillRate(demand, row.reorder_point, row.order_quantity);
    expect(miss(expectedShortage(demand, row.reorder_point), row.expected_shortage_per_cycle)).toBeLessThan(1e-8);
    expect(miss(rate, row.fill_rate)).toBeLessThan(1e-8);
    expect(Math.abs(reorderPointForFillRate(demand, row.order_quantity, rate) - row.reorder_point)).toBeLessThan(1e-5);
    if (row.published?.fill_rate !== undefined) expect(rate).toBeCloseTo(row.published.fill_rate, 4);
  });

  it('of a sure demand misses what the stock lacks', () => {
    expect(fillRate({ mean: 10, sd: 0 }, 8, 20)).toBe(0.9);
    expect(reorderPointForFillRate({ mean: 10, sd: 0 }, 20, 0.9)).toBeCloseTo(8, 12);
  });

  it.each([0, 1, 1.2])('of %d is not asked for', (wanted) => {
    expect(() => reorderPointForFillRate({ mean: 10, sd: 2 }, 20, wanted)).toThrow(/above 0 and below 1/);
  });
});

describe('order and reorder point with a penalty', () => {
  const costsOf = (row: Penalty) => ({
    demandPerYear: row.annual_demand,
    costPerOrder: row.order_cost,
    holdingPerUnitYear: row.holding,
  });

  it.each(QR_with_penalty)('$id', (row) => {
    const demand = { mean: row.mean_lead_time_demand, sd: row.sigma_lead_time_demand };
    const found = orderWithPenalty(costsOf(row), row.penalty, demand);
    expect(miss(found.quantity, row.Q)).toBeLessThan(1e-8);
    expect(miss(found.reorderPoint, row.R)).toBeLessThan(1e-8);
    expect(miss(found.shortagePerCycle, row.expected_shortage_per_cycle)).toBeLessThan(1e-8);
    if (row.published) {
      expect([Math.round(found.quantity), Math.round(found.reorderPoint)]).toEqual([row.published.Q, row.published.R]);
    }
  });

  it('is refused when no stock pays', () => {
    const row = QR_with_penalty[0]!;
    expect(() => orderWithPenalty(costsOf(row), 0.1, { mean: 100, sd: 25 })).toThrow(/give a higher one/);
  });
});

describe('an order for one season', () => {
  it.each(newsvendor_normal)('$id', ({ mean, sd, underage, overage, ...row }) => {
    const { quantity, leftover, short } = oneOffOrder({ mean, sd }, { underage, overage });
    expect(miss(quantity, row.Q)).toBeLessThan(1e-8);
    expect(miss(leftover, row.expected_leftover)).toBeLessThan(1e-8);
    expect(miss(short, row.expected_short)).toBeLessThan(1e-8);
    expect(miss(overage * leftover + underage * short, row.expected_cost)).toBeLessThan(1e-8);
    if (row.published) expect(Math.round(quantity)).toBe(row.published.Q_units);
  });

  it.each(newsvendor_poisson)('of a Poisson demand of $poisson_mean', ({ poisson_mean, underage, overage, ...row }) => {
    const { quantity, leftover, short } = oneOffCount(poisson_mean, { underage, overage });
    expect(quantity).toBe(row.Q);
    expect(miss(leftover, row.expected_leftover)).toBeLessThan(1e-8);
    expect(short).toBeCloseTo(poisson_mean - quantity + row.expected_leftover, 9);
  });
});
