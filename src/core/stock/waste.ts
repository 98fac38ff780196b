import { normalCdf, normalLoss, normalQuantile } from '../statistics/normal.js';
import { poissonCdf, poissonProbability } from '../statistics/poisson.js';
import { Refusal } from '../refusal.js';
import type { Spread } from './demand.js';
import { type DatedLot, simulateFefo } from './fefo.js';

/** Demand until a lot expires, net of what is used before it. */
export type UncertainDemand = ({ kind: 'normal' } & Spread) | { kind: 'poisson'; mean: number };

/**
 * How much of a quantity will still be there when it expires, on average: E(Q - D)+. `expectedWaste({kind: 'poisson',
 * mean: 12}, 15)` is 3.4019…
 */
export function expectedWaste(demand: UncertainDemand, quantity: number): number {
  if (demand.kind === 'normal') {
    const { mean, sd } = demand;
    return sd === 0 ? Math.max(0, quantity - mean) : sd * normalLoss((mean - quantity) / sd);
  }
  let waste = 0;
  for (let k = 0; k < quantity; k++) waste += (quantity - k) * poissonProbability(k, demand.mean);
  return waste;
}

/** How much of a normal demand a quantity leaves unmet, on average: sigma L(z). */
export function expectedShortage({ mean, sd }: Spread, quantity: number): number {
  return sd === 0 ? Math.max(0, mean - quantity) : sd * normalLoss((quantity - mean) / sd);
}

/** Probability that some of a quantity is left when it expires. A normal demand of 40 (sd 10) leaves some of 50 with 0.8413… */
export function probabilityOfWaste(demand: UncertainDemand, quantity: number): number {
  if (demand.kind === 'poisson') return poissonCdf(Math.ceil(quantity) - 1, demand.mean);
  const { mean, sd } = demand;
  if (sd === 0) return mean < quantity ? 1 : 0;
  return normalCdf((quantity - mean) / sd);
}

/**
 * The largest order of which all is used before it expires with a probability, whole units, once the stock that goes
 * first is used: for normal demand floor(m - z_p s - stock), for Poisson by search; 0 when there is none. At 4 a day (sd
 * 2) over 30 days with 20 in stock and a probability of 0.8: 90.
 */
export function orderCapAtRisk(demand: UncertainDemand, usedFirst: number, probability: number): number {
  if (!(probability > 0 && probability < 1)) {
    const message = `the probability that all is used is ${probability}; give a share above 0 and below 1, such as 0.9`;
    throw new Refusal('invalid', 'bad-policy', message);
  }
  if (demand.kind === 'normal') {
    const reached = demand.mean - (demand.sd === 0 ? 0 : demand.sd * normalQuantile(probability));
    return Math.max(0, Math.floor(reached - usedFirst + 1e-9));
  }
  const most = Math.max(0, Math.ceil(demand.mean - usedFirst + 10 * Math.sqrt(demand.mean) + 10));
  return largestWhole(most, (quantity) => 1 - probabilityOfWaste(demand, usedFirst + quantity) >= probability);
}

/**
 * The largest order, in packs, that lets nothing more expire than would expire without it, by the course of stock under a
 * known demand (first expired first out; waste grows with the order, so a binary search finds it). Refuses a demand that
 * is not known for every day on which some lot can still be used. With 10 of a lot for 10 days at 2 a day, a new lot
 * of the same life takes 10.
 */
export function orderCap(
  lots: DatedLot[],
  demandPerDay: number[],
  order: Omit<DatedLot, 'quantity'>,
  packSize = 1,
): number {
  const lastDay = Math.max(order.lastDay, ...lots.map((lot) => lot.lastDay));
  if (demandPerDay.length <= lastDay) {
    const message = `the demand is known for ${demandPerDay.length} days, but a lot can be used until day ${lastDay}; give the demand of ${lastDay + 1} days`;
    throw new Refusal('invalid', 'bad-horizon', message);
  }
  const wasteWith = (packs: number) => totalWaste([...lots, { ...order, quantity: packs * packSize }], demandPerDay);
  const without = wasteWith(0);
  const most = Math.ceil(demandPerDay.reduce((sum, x) => sum + x, 0) / packSize);
  const slack = 1e-9 * Math.max(1, without);
  return largestWhole(most, (packs) => wasteWith(packs) <= without + slack) * packSize;
}

/** Everything that expires unused in the course of stock under a known demand. */
export function totalWaste(lots: DatedLot[], demandPerDay: number[]): number {
  return [...simulateFefo(lots, demandPerDay).waste.values()].reduce((sum, quantity) => sum + quantity, 0);
}

/** The largest whole number up to `most` that holds, 0 when none does; what holds for one must hold for all below it. */
function largestWhole(most: number, holds: (n: number) => boolean): number {
  let low = 0;
  let high = most + 1;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (holds(middle)) low = middle;
    else high = middle;
  }
  return low;
}
