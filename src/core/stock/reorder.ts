import { Refusal } from '../refusal.js';
import { normalQuantile } from '../statistics/normal.js';
import { negativeBinomialQuantile, poissonQuantile } from '../statistics/poisson.js';
import type { Spread } from './demand.js';

/**
 * Demand over a time that varies, both in one unit of time and independent: mean d L, variance L sd_d^2 + d^2 sd_L^2
 * (Silver, Pyke and Thomas, Inventory and Production Management in Supply Chains, 4th ed.; formula from memory).
 * `demandOver({mean: 30, sd: 5}, {mean: 10, sd: 3})` is `{mean: 300, sd: 91.378…}`.
 */
export function demandOver(demand: Spread, time: Spread): Spread {
  checkSpread('demand', demand);
  checkSpread('time', time);
  return {
    mean: demand.mean * time.mean,
    sd: Math.sqrt(time.mean * demand.sd ** 2 + demand.mean ** 2 * time.sd ** 2),
  };
}

/** Standard deviations above the mean that keep a share of order cycles free of a stock-out. `safetyFactor(0.95)` is 1.6448… */
export function safetyFactor(serviceLevel: number): number {
  if (!(serviceLevel > 0 && serviceLevel < 1)) {
    throw refused('serviceLevel', serviceLevel, 'a share above 0 and below 1, such as 0.95');
  }
  return normalQuantile(serviceLevel);
}

export interface StockLevel {
  safetyStock: number;
  /** Expected demand and safety stock together. */
  level: number;
}

/**
 * The stock that covers a demand with a safety factor, for demand near the normal distribution; a negative safety stock
 * counts as 0. `coveringStock({mean: 300, sd: 90}, 1.65)` is `{safetyStock: 148.5, level: 448.5}`.
 */
export function coveringStock(demand: Spread, factor: number): StockLevel {
  const safetyStock = Math.max(0, factor * demand.sd);
  return { safetyStock, level: demand.mean + safetyStock };
}

const SLOW_BELOW = 10;
const UNEVEN_ABOVE = 0.5;

/**
 * Whether a demand counted in pieces is too small (mean under about 10) or too uneven (sd over half the mean) for the
 * normal distribution, so that `coveringCount` fits better (common practice, no source).
 */
export function isSlow({ mean, sd }: Spread): boolean {
  return mean < SLOW_BELOW || sd > UNEVEN_ABOVE * mean;
}

/**
 * The smallest whole number of pieces that covers a demand counted in pieces at a service level: Poisson, or negative
 * binomial where the variance is above the mean (Silver, Pyke and Thomas, 4th ed., on slow-moving items; from memory).
 * `coveringCount({mean: 1.4, sd: 1.1}, 0.95)` is `{safetyStock: 2.6, level: 4}`.
 */
export function coveringCount(demand: Spread, serviceLevel: number): StockLevel {
  checkSpread('demand', demand);
  safetyFactor(serviceLevel);
  const { mean, sd } = demand;
  const variance = sd ** 2;
  if (mean === 0) return { safetyStock: 0, level: 0 };
  const level =
    variance > mean ? negativeBinomialQuantile(serviceLevel, { mean, variance }) : poissonQuantile(serviceLevel, mean);
  return { safetyStock: Math.max(0, level - mean), level };
}

/** When to order and up to what, all quantities in one unit. */
export interface ReorderPolicy {
  demandPerDay: Spread;
  leadTimeDays: Spread;
  /** Days that an order should last beyond the lead time. */
  coverDays: number;
  serviceLevel: number;
  /** Days between two looks at the stock; absent when every movement is one. */
  reviewDays?: number;
}

export interface ReorderLevels {
  /** Safety factor of the service level. */
  z: number;
  safetyStock: number;
  /** Order when the position is at or below it. */
  reorderPoint: number;
  orderUpTo: number;
}

/**
 * Safety stock, reorder point and order-up-to level for demand near the normal distribution, lead time varying; with
 * reviews only every so many days, what the stock falls below the reorder point before one is covered too.
 * For 20 a day (sd 5), 9 days (sd 2), cover of 14 days at 0.95: `{z: 1.6448…, safetyStock: 70.268…, reorderPoint:
 * 250.268…, orderUpTo: 536.710…}`.
 */
export function reorderLevels(policy: ReorderPolicy): ReorderLevels {
  const { demandPerDay, leadTimeDays, coverDays, serviceLevel, reviewDays = 0 } = policy;
  if (!(coverDays >= 0 && Number.isFinite(coverDays))) throw refused('coverDays', coverDays, 'days of at least 0');
  const z = safetyFactor(serviceLevel);
  const late = undershoot(demandPerDay, reviewDays);
  const covering = (time: Spread) => {
    const demand = demandOver(demandPerDay, time);
    return coveringStock({ mean: demand.mean + late.mean, sd: Math.hypot(demand.sd, late.sd) }, z);
  };
  const { safetyStock, level } = covering(leadTimeDays);
  const orderUpTo = covering({ mean: leadTimeDays.mean + coverDays, sd: leadTimeDays.sd }).level;
  return { z, safetyStock, reorderPoint: level, orderUpTo };
}

/**
 * What the position falls below the reorder point, on average, before a review every so many days notices, to be added
 * to the demand over the lead time (renewal theory: (d^2 + sd^2) / 2 d with d the demand between reviews; its variance
 * from the third moment of a normal demand). Nothing when every movement is a review, at 0 days.
 */
export function undershoot(demandPerDay: Spread, reviewDays: number): Spread {
  const { mean, sd } = demandOver(demandPerDay, { mean: reviewDays, sd: 0 });
  if (mean === 0) return { mean: 0, sd: 0 };
  const second = mean ** 2 + sd ** 2;
  const third = mean ** 3 + 3 * mean * sd ** 2;
  const average = second / (2 * mean);
  return { mean: average, sd: Math.sqrt(Math.max(third / (3 * mean) - average ** 2, 0)) };
}

/** Where the stock stands: what is usable and not promised, and what is on its way. */
export interface StockPosition {
  onHand: number;
  onOrder: number;
}

export interface OrderTerms {
  packSize: number;
  minimumOrder: number;
  /** Days of use that are left when an order arrives; null when it does not expire. */
  shelfLifeDaysOnArrival: number | null;
}

export interface OrderProposal {
  position: number;
  /** 0 when nothing is to be ordered yet. */
  quantity: number;
  cappedByExpiry: boolean;
  /** What of the order will expire unused at the mean demand. */
  expectedWaste: number;
}

/**
 * What to order now: nothing above the reorder point, else up to the order-up-to level, at least the minimum order, in
 * whole packs, and no more than the mean demand uses before it expires; where that is below the minimum order, the
 * minimum order and the waste to expect of it. With a position of 150, a reorder point of 250 and 536.7 to fill up to, in
 * packs of 12: a quantity of 396.
 */
export function proposeOrder(
  levels: Pick<ReorderLevels, 'reorderPoint' | 'orderUpTo'>,
  usage: Pick<ReorderPolicy, 'demandPerDay' | 'leadTimeDays'>,
  { onHand, onOrder }: StockPosition,
  terms: OrderTerms,
): OrderProposal {
  const { packSize, minimumOrder, shelfLifeDaysOnArrival } = terms;
  if (!(packSize > 0 && Number.isFinite(packSize))) throw refused('packSize', packSize, 'a quantity above 0');
  const position = onHand + onOrder;
  const wanted = levels.orderUpTo - position;
  if (position > levels.reorderPoint || wanted <= 0) {
    return { position, quantity: 0, cappedByExpiry: false, expectedWaste: 0 };
  }
  const smallest = packsUp(minimumOrder, packSize);
  const uncapped = Math.max(packsUp(wanted, packSize), smallest);
  if (shelfLifeDaysOnArrival === null) return { position, quantity: uncapped, cappedByExpiry: false, expectedWaste: 0 };
  const demand = usage.demandPerDay.mean;
  const leftOnArrival = Math.max(0, position - demand * usage.leadTimeDays.mean);
  const usable = Math.max(0, demand * shelfLifeDaysOnArrival - leftOnArrival);
  const cap = packsDown(usable, packSize);
  if (uncapped <= cap) return { position, quantity: uncapped, cappedByExpiry: false, expectedWaste: 0 };
  const quantity = Math.max(cap, smallest);
  return { position, quantity, cappedByExpiry: true, expectedWaste: Math.max(0, quantity - usable) };
}

/** A hair under or over a whole pack is noise of binary fractions, not a pack. */
const HAIR = 1e-9;

/** The smallest whole number of packs, as a quantity, that holds at least so much. `packsUp(386.7, 12)` is 396. */
export function packsUp(quantity: number, packSize: number): number {
  return Math.max(0, Math.ceil(quantity / packSize - HAIR)) * packSize;
}

/** The largest whole number of packs, as a quantity, that holds at most so much. */
export function packsDown(quantity: number, packSize: number): number {
  return Math.floor(quantity / packSize + HAIR) * packSize;
}

function checkSpread(what: string, { mean, sd }: Spread): void {
  if (!(mean >= 0 && Number.isFinite(mean))) throw refused(`the mean ${what}`, mean, 'a number of at least 0');
  if (!(sd >= 0 && Number.isFinite(sd)))
    throw refused(`the standard deviation of the ${what}`, sd, 'a number of at least 0');
}

function refused(what: string, value: number, right: string): Refusal {
  return new Refusal('invalid', 'bad-policy', `${what} is ${value}; give ${right}`);
}
