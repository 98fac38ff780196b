import { Refusal } from '../refusal.js';
import { normalLossInverse, normalQuantile } from '../statistics/normal.js';
import { poissonQuantile } from '../statistics/poisson.js';
import type { Spread } from './demand.js';
import { expectedWaste, expectedShortage } from './waste.js';

export interface OrderCosts {
  demandPerYear: number;
  costPerOrder: number;
  holdingPerUnitYear: number;
}

/**
 * The order quantity at which the yearly cost of ordering and holding is least: sqrt(2 A D / h) (Harris 1913).
 * `economicOrder({demandPerYear: 2400, costPerOrder: 3.2, holdingPerUnitYear: 0.096})` is 400.
 */
export function economicOrder(costs: OrderCosts): number {
  checkCosts(costs);
  return Math.sqrt((2 * costs.costPerOrder * costs.demandPerYear) / costs.holdingPerUnitYear);
}

/** Ordering and holding cost of a year at an order quantity, safety stock apart. At 400 in the example above it is 38.4. */
export function yearlyCost(costs: OrderCosts, quantity: number): number {
  checkCosts(costs);
  positive('the quantity', quantity);
  return (costs.costPerOrder * costs.demandPerYear) / quantity + (costs.holdingPerUnitYear * quantity) / 2;
}

/**
 * Share of the demand met from stock when `quantity` is ordered at a reorder point: 1 - sigma L(z) / Q (Silver, Pyke and
 * Thomas, 4th ed.; from memory). Not the share of cycles without a stock-out. With 5000 (sd 707.1) over the lead time, a
 * reorder point of 6000 and 10000 ordered it is 0.9975.
 */
export function fillRate(leadTimeDemand: Spread, reorderPoint: number, quantity: number): number {
  positive('the order quantity', quantity);
  return 1 - expectedShortage(leadTimeDemand, reorderPoint) / quantity;
}

/** The reorder point that reaches a fill rate when `quantity` is ordered, by the inverse of the formula above. */
export function reorderPointForFillRate(leadTimeDemand: Spread, quantity: number, wanted: number): number {
  positive('the order quantity', quantity);
  if (!(wanted > 0 && wanted < 1)) {
    throw new Refusal(
      'invalid',
      'bad-policy',
      `the fill rate is ${wanted}; give a share above 0 and below 1, such as 0.98`,
    );
  }
  const { mean, sd } = leadTimeDemand;
  if (sd === 0) return Math.max(0, mean - (1 - wanted) * quantity);
  return mean + sd * normalLossInverse(((1 - wanted) * quantity) / sd);
}

export interface PenaltyPolicy {
  quantity: number;
  reorderPoint: number;
  /** Units short in one cycle on average. */
  shortagePerCycle: number;
}

const MOST_ROUNDS = 1000;

/**
 * Order quantity and reorder point of least cost when each missing unit costs a penalty: 1 - F(R) = Q h / (p D) and
 * Q = sqrt(2 D (A + p n(R)) / h) in turn until they settle (Nahmias, Production and Operations Analysis). Refuses a
 * penalty so low that no stock pays. The mustard example (200 a year, 50, 2, penalty 25, 100 with sd 25) gives 110.77 and 142.57.
 */
export function orderWithPenalty(costs: OrderCosts, penalty: number, leadTimeDemand: Spread): PenaltyPolicy {
  positive('the penalty for a missing unit', penalty);
  const { demandPerYear, costPerOrder, holdingPerUnitYear } = costs;
  let quantity = economicOrder(costs);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const missing = (quantity * holdingPerUnitYear) / (penalty * demandPerYear);
    if (missing >= 1) {
      throw new Refusal(
        'invalid',
        'bad-policy',
        `a penalty of ${penalty} is below the cost of holding stock; give a higher one`,
      );
    }
    const reorderPoint = leadTimeDemand.mean - leadTimeDemand.sd * normalQuantile(missing);
    const shortagePerCycle = expectedShortage(leadTimeDemand, reorderPoint);
    const next = Math.sqrt((2 * demandPerYear * (costPerOrder + penalty * shortagePerCycle)) / holdingPerUnitYear);
    if (Math.abs(next - quantity) <= 1e-12 * quantity) return { quantity: next, reorderPoint, shortagePerCycle };
    quantity = next;
  }
  throw new Refusal('invalid', 'bad-policy', 'order quantity and reorder point do not settle; give a higher penalty');
}

/** What one unit too few and one too many cost. */
export interface OneOff {
  underage: number;
  overage: number;
}

/** What to buy once for a demand that comes once, and what that leaves and lacks on average. */
export interface OneOffOrder {
  quantity: number;
  leftover: number;
  short: number;
}

/**
 * The quantity for one season or one life of a batch, demand near normal: F(Q) = cu / (cu + co) (newsvendor; Nahmias).
 * With 11.73 (sd 4.74), 50 and 15 it is 15.22.
 */
export function oneOffOrder(demand: Spread, cost: OneOff): OneOffOrder {
  const quantity = demand.mean + demand.sd * normalQuantile(criticalRatio(cost));
  return {
    quantity,
    leftover: expectedWaste({ kind: 'normal', ...demand }, quantity),
    short: expectedShortage(demand, quantity),
  };
}

/** The same for a Poisson demand counted in pieces: the smallest Q with F(Q) >= cu / (cu + co). For a mean of 3, 4 and 1 it is 4. */
export function oneOffCount(mean: number, cost: OneOff): OneOffOrder {
  const quantity = poissonQuantile(criticalRatio(cost), mean);
  const leftover = expectedWaste({ kind: 'poisson', mean }, quantity);
  return { quantity, leftover, short: mean - quantity + leftover };
}

function criticalRatio({ underage, overage }: OneOff): number {
  positive('the cost of one too few', underage);
  positive('the cost of one too many', overage);
  return underage / (underage + overage);
}

function checkCosts({ demandPerYear, costPerOrder, holdingPerUnitYear }: OrderCosts): void {
  positive('the demand per year', demandPerYear);
  positive('the cost of an order', costPerOrder);
  positive('the cost of holding a unit for a year', holdingPerUnitYear);
}

function positive(what: string, value: number): void {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new Refusal('invalid', 'bad-policy', `${what} is ${value}; give a number above 0`);
  }
}
