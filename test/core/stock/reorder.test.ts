import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { poissonCdf } from '../../../src/core/statistics/poisson.js';
import { simulateFefo } from '../../../src/core/stock/fefo.js';
import {
  coveringCount,
  coveringStock,
  demandOver,
  isSlow,
  packsDown,
  packsUp,
  proposeOrder,
  reorderLevels,
  safetyFactor,
} from '../../../src/core/stock/reorder.js';
import { replayPolicy } from '../../../src/core/stock/replay.js';
import { miss, published } from './published.js';

interface ReorderPoint {
  id: string;
  mean_demand: number;
  sd_demand: number;
  lead_time: number;
  sd_lead_time: number;
  service_cycle: number | null;
  z: number;
  sigma_lead_time_demand: number;
  safety_stock: number;
  reorder_point: number;
  reorder_point_units: number;
  published?: { reorder_point?: number; safety_stock?: number; sigma_L?: number };
}

const { reorder_points, periodic_RS, reorder_point_poisson, negative_binomial } = published<{
  reorder_points: ReorderPoint[];
  periodic_RS: {
    id: string;
    mean_demand: number;
    sd_demand: number;
    review: number;
    lead_time: number;
    cycle_service: number;
    safety_stock: number;
    order_up_to: number;
  }[];
  reorder_point_poisson: {
    daily_mean: number;
    lead_time_days: number;
    cycle_service: number;
    smallest_reorder_point: number;
    cdf: number;
    cdf_one_less: number;
  }[];
  negative_binomial: { mean: number; variance: number; service: number; smallest_k: number }[];
}>('more-inventory');

describe('published reorder points', () => {
  it('are all here', () => {
    expect([reorder_points.length, periodic_RS.length, reorder_point_poisson.length]).toEqual([22, 4, 6]);
  });

  it.each(reorder_points)('$id', (row) => {
    const demand = demandOver(
      { mean: row.mean_demand, sd: row.sd_demand },
      { mean: row.lead_time, sd: row.sd_lead_time },
    );
    const z = row.service_cycle === null ? row.z : safetyFactor(row.service_cycle);
    const { safetyStock, level } = coveringStock(demand, z);
    expect(miss(demand.sd, row.sigma_lead_time_demand)).toBeLessThan(1e-8);
    expect(miss(safetyStock, row.safety_stock)).toBeLessThan(1e-8);
    expect(miss(level, row.reorder_point)).toBeLessThan(1e-8);
    expect(packsUp(level, 1)).toBe(row.reorder_point_units);
    const { published: book = {} } = row;
    if (book.reorder_point !== undefined) expect(Math.abs(level - book.reorder_point)).toBeLessThanOrEqual(0.05);
    if (book.safety_stock !== undefined) expect(Math.abs(safetyStock - book.safety_stock)).toBeLessThanOrEqual(0.5);
    if (book.sigma_L !== undefined) expect(Math.abs(demand.sd - book.sigma_L)).toBeLessThanOrEqual(0.5);
  });

  it.each(periodic_RS)('$id, reviewed every $review', (row) => {
    const { safetyStock, level } = coveringStock(
      demandOver({ mean: row.mean_demand, sd: row.sd_demand }, { mean: row.review + row.lead_time, sd: 0 }),
      safetyFactor(row.cycle_service),
    );
    expect(miss(safetyStock, row.safety_stock)).toBeLessThan(1e-8);
    expect(miss(level, row.order_up_to)).toBeLessThan(1e-8);
  });

  it.each(reorder_point_poisson)('of a slow item at $daily_mean a day', (row) => {
    const mean = row.daily_mean * row.lead_time_days;
    const { level } = coveringCount({ mean, sd: Math.sqrt(mean) * (1 - 1e-12) }, row.cycle_service);
    expect(level).toBe(row.smallest_reorder_point);
    expect(miss(poissonCdf(level, mean), row.cdf)).toBeLessThan(1e-8);
    expect(miss(poissonCdf(level - 1, mean), row.cdf_one_less)).toBeLessThan(1e-8);
  });

  it.each(negative_binomial)('of an uneven item of mean $mean and variance $variance', (row) => {
    expect(coveringCount({ mean: row.mean, sd: Math.sqrt(row.variance) }, row.service).level).toBe(row.smallest_k);
  });
});

describe('the levels of a policy', () => {
  const spread = (top: number) =>
    fc.record({ mean: fc.double({ min: 0, max: top, noNaN: true }), sd: fc.double({ min: 0, max: top, noNaN: true }) });
  const service = fc.double({ min: 0.01, max: 0.9999, noNaN: true });
  const policies = fc.record({
    demandPerDay: spread(50),
    leadTimeDays: spread(40),
    coverDays: fc.nat(60),
    reviewDays: fc.nat(7),
    serviceLevel: service,
  });

  it('rise with the service level and never lie below the expected demand', () => {
    fc.assert(
      fc.property(policies, service, (policy, other) => {
        const [low, high] = [policy.serviceLevel, other].sort((a, b) => a - b) as [number, number];
        const at = (serviceLevel: number) => reorderLevels({ ...policy, serviceLevel });
        expect(at(high).reorderPoint).toBeGreaterThanOrEqual(at(low).reorderPoint);
        expect(at(high).orderUpTo).toBeGreaterThanOrEqual(at(low).orderUpTo);
        expect(at(low).safetyStock).toBeGreaterThanOrEqual(0);
        expect(at(low).orderUpTo).toBeGreaterThanOrEqual(at(low).reorderPoint);
      }),
    );
  });

  it('rise with the service level for items counted in pieces', () => {
    fc.assert(
      fc.property(spread(30), service, service, (demand, one, other) => {
        const [low, high] = [one, other].sort((a, b) => a - b) as [number, number];
        expect(coveringCount(demand, high).level).toBeGreaterThanOrEqual(coveringCount(demand, low).level);
      }),
    );
  });

  it('know slow and uneven items', () => {
    expect([isSlow({ mean: 9, sd: 1 }), isSlow({ mean: 100, sd: 51 }), isSlow({ mean: 100, sd: 50 })]).toEqual([
      true,
      true,
      false,
    ]);
  });

  it('refuse what cannot be', () => {
    expect(() => demandOver({ mean: -1, sd: 0 }, { mean: 1, sd: 0 })).toThrow(/the mean demand is -1/);
    expect(() => coveringCount({ mean: 1, sd: 1 }, 1)).toThrow(/serviceLevel is 1/);
  });
});

describe('a proposal', () => {
  const usage = { demandPerDay: { mean: 2, sd: 0 }, leadTimeDays: { mean: 5, sd: 0 } };
  const levels = { reorderPoint: 10, orderUpTo: 70 };

  it('offers the minimum order and its waste where even that will expire', () => {
    // 2 a day use 20 in 10 days; 4 of the 10 in stock are left when it arrives, so 16 of 50 will be used.
    const terms = { packSize: 10, minimumOrder: 45, shelfLifeDaysOnArrival: 10 };
    expect(proposeOrder({ ...levels, reorderPoint: 14 }, usage, { onHand: 14, onOrder: 0 }, terms)).toEqual({
      position: 14,
      quantity: 50,
      cappedByExpiry: true,
      expectedWaste: 34,
    });
  });

  it('orders nothing that nobody uses', () => {
    const unused = { demandPerDay: { mean: 0, sd: 0 }, leadTimeDays: { mean: 5, sd: 0 } };
    const none = reorderLevels({ ...unused, coverDays: 30, serviceLevel: 0.95 });
    const terms = { packSize: 1, minimumOrder: 1, shelfLifeDaysOnArrival: null };
    expect(proposeOrder(none, unused, { onHand: 0, onOrder: 0 }, terms).quantity).toBe(0);
  });

  it('is in whole packs, and wastes at the mean demand what it says and no more', () => {
    const whole = (most: number) => fc.integer({ min: 1, max: most });
    fc.assert(
      fc.property(
        fc.record({
          perDay: whole(9),
          lead: fc.nat(10),
          stock: fc.nat(80),
          pack: whole(12),
          least: fc.nat(30),
          life: whole(20),
        }),
        ({ perDay, lead, stock, pack, least, life }) => {
          const use = { demandPerDay: { mean: perDay, sd: 0 }, leadTimeDays: { mean: lead, sd: 0 } };
          const terms = { packSize: pack, minimumOrder: least, shelfLifeDaysOnArrival: life };
          const { quantity, expectedWaste } = proposeOrder(
            { reorderPoint: 80, orderUpTo: 200 },
            use,
            { onHand: stock, onOrder: 0 },
            terms,
          );
          expect(quantity % pack).toBe(0);
          // What is in hand lives as long as the order and goes first.
          const lastDay = lead + life - 1;
          const lots = [
            { lot: 'in hand', quantity: stock, arrives: 0, lastDay },
            { lot: 'order', quantity, arrives: lead, lastDay },
          ];
          const { waste } = simulateFefo(lots, Array<number>(lastDay + 1).fill(perDay));
          expect(waste.get('order') ?? 0).toBe(expectedWaste);
          if (quantity > least + pack) expect(expectedWaste).toBe(0);
        },
      ),
    );
  });

  it('does not take a hair for a pack', () => {
    expect([
      packsUp(12.000000000000002, 12),
      packsUp(12.1, 12),
      packsDown(11.999999999999998, 12),
      packsDown(11.9, 12),
    ]).toEqual([12, 24, 12, 0]);
  });
});

/** Uniform numbers by a linear congruential generator (Numerical Recipes, from memory), so that a replay repeats itself. */
function uniform(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
}

describe('a policy replayed on stationary demand', () => {
  // Normal by the quantile of a uniform number, cut at 0: with a mean of four standard deviations hardly ever.
  it.each([
    [0.9, 0],
    [0.95, 0],
    [0.95, 2],
    [0.99, 1],
  ])('keeps a cycle service of %d within two points, the lead time varying by %d days', (serviceLevel, vary) => {
    const draw = uniform(42);
    const days = 365 * 150;
    const usage = {
      demandPerDay: { mean: 20, sd: 5 },
      // Equally likely days either side of 9: variance v (v + 1) / 3.
      leadTimeDays: { mean: 9, sd: Math.sqrt((vary * (vary + 1)) / 3) },
    };
    const levels = reorderLevels({ ...usage, coverDays: 14, serviceLevel, reviewDays: 1 });
    const demand = Array.from({ length: days }, () => Math.max(0, 20 + 5 * safetyFactor(draw())));
    const replay = replayPolicy(
      { levels, usage, terms: { packSize: 1, minimumOrder: 1, shelfLifeDaysOnArrival: null }, onHand: 400 },
      demand,
      () => 9 - vary + Math.floor(draw() * (2 * vary + 1)),
    );
    expect(replay.orders).toBeGreaterThan(3000);
    expect(Math.abs(replay.cycleService! - serviceLevel)).toBeLessThan(0.02);
    expect(replay.fillRate!).toBeGreaterThan(serviceLevel);
    expect(replay.waste).toBe(0);
  });
});

describe('a replay', () => {
  const usage = { demandPerDay: { mean: 2, sd: 0 }, leadTimeDays: { mean: 2, sd: 0 } };
  const terms = { packSize: 1, minimumOrder: 1, shelfLifeDaysOnArrival: null };
  const policy = { levels: { reorderPoint: 4, orderUpTo: 10 }, usage, terms, onHand: 6 };

  // By hand: 6, 4 (order 6, two days on), 2, 0, then 6 arrive: 4 (order 6), 2, 0, 6 arrive: 4.
  it('runs as by hand', () => {
    expect(replayPolicy(policy, Array<number>(8).fill(2), () => 2)).toEqual({
      orders: 3,
      cycleService: 1,
      fillRate: 1,
      daysShort: 0,
      waste: 0,
      closing: [4, 2, 0, 4, 2, 0, 4, 2],
    });
  });

  it('counts the days without stock and the order that came too late', () => {
    const replay = replayPolicy(policy, Array<number>(8).fill(2), () => 4);
    expect(replay.closing).toEqual([4, 2, 0, 0, 0, 4, 2, 0]);
    expect(replay).toMatchObject({ daysShort: 2, cycleService: 0, fillRate: 12 / 16 });
  });

  it('wastes what outlives its days', () => {
    const short = { ...terms, shelfLifeDaysOnArrival: 3 };
    const replay = replayPolicy({ ...policy, terms: short }, [1, 1, 1, 0, 0, 0], () => 2);
    // Of the first 6, three are used by day 2 and three expire with it.
    expect(replay.waste).toBeGreaterThanOrEqual(3);
    expect(replay.closing[2]).toBe(0);
  });

  it('refuses part of a day', () => {
    expect(() => replayPolicy(policy, [2, 2], () => 1.5)).toThrow(/order 0 takes 1\.5 days/);
  });

  it('never goes below nothing', () => {
    fc.assert(
      fc.property(fc.array(fc.nat(15), { minLength: 1, maxLength: 60 }), fc.nat(6), fc.nat(9), (demand, lead, life) => {
        const replay = replayPolicy(
          { ...policy, terms: { ...terms, shelfLifeDaysOnArrival: life + 1 } },
          demand,
          () => lead,
        );
        expect(Math.min(...replay.closing)).toBeGreaterThanOrEqual(0);
        expect(replay.waste).toBeGreaterThanOrEqual(0);
      }),
    );
  });
});
