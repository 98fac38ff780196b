import { Refusal } from '../refusal.js';
import { less } from './fefo.js';
import { proposeOrder, type OrderTerms, type ReorderLevels, type ReorderPolicy } from './reorder.js';

export interface ReplayedPolicy {
  levels: Pick<ReorderLevels, 'reorderPoint' | 'orderUpTo'>;
  usage: Pick<ReorderPolicy, 'demandPerDay' | 'leadTimeDays'>;
  terms: OrderTerms;
  /** Stock at the start, as fresh as if it had just arrived. */
  onHand: number;
}

export interface Replay {
  orders: number;
  /** Share of orders that arrived before any demand went unmet; null when none arrived. */
  cycleService: number | null;
  /** Share of the demand that was met; null when there was none. */
  fillRate: number | null;
  daysShort: number;
  waste: number;
  closing: number[];
}

interface Batch {
  quantity: number;
  arrives: number;
  lastDay: number;
}

/**
 * How a policy would have fared under a known daily demand: stock is looked at once a day after the day's demand, an
 * order of L days arrives after L further days of demand, what cannot be met is lost, what expires is wasted.
 * `leadTimeOf` gives the whole days of the order of that number, from 0.
 */
export function replayPolicy(
  { levels, usage, terms, onHand }: ReplayedPolicy,
  demandPerDay: number[],
  leadTimeOf: (order: number) => number,
): Replay {
  const life = terms.shelfLifeDaysOnArrival ?? Number.POSITIVE_INFINITY;
  let stock: Batch[] = [{ quantity: onHand, arrives: 0, lastDay: life - 1 }];
  const replay: Replay = { orders: 0, cycleService: null, fillRate: null, daysShort: 0, waste: 0, closing: [] };
  let [met, asked, arrived, arrivedInTime] = [0, 0, 0, 0];
  let shortSinceArrival = false;

  demandPerDay.forEach((demand, day) => {
    for (const { arrives } of stock) {
      if (arrives !== day || day === 0) continue;
      arrived += 1;
      if (!shortSinceArrival) arrivedInTime += 1;
      shortSinceArrival = false;
    }
    let open = demand;
    // Batches stand in the order of arrival, and each lives as long as the next.
    for (const batch of stock) {
      if (batch.arrives > day) continue;
      const taken = Math.min(batch.quantity, open);
      batch.quantity = less(batch.quantity, taken);
      open = less(open, taken);
    }
    asked += demand;
    met += demand - open;
    if (open > 0) {
      replay.daysShort += 1;
      shortSinceArrival = true;
    }
    replay.waste += total(stock.filter(({ lastDay }) => lastDay <= day));
    stock = stock.filter(({ quantity, arrives, lastDay }) => lastDay > day && (quantity > 0 || arrives > day));
    const [here, coming] = [stock.filter((b) => b.arrives <= day), stock.filter((b) => b.arrives > day)];
    replay.closing.push(total(here));
    const { quantity } = proposeOrder(levels, usage, { onHand: total(here), onOrder: total(coming) }, terms);
    if (quantity > 0) {
      const arrives = day + 1 + wholeDays(leadTimeOf(replay.orders), replay.orders);
      stock.push({ quantity, arrives, lastDay: arrives + life - 1 });
      stock.sort((a, b) => a.arrives - b.arrives);
      replay.orders += 1;
    }
  });
  return {
    ...replay,
    cycleService: arrived === 0 ? null : arrivedInTime / arrived,
    fillRate: asked === 0 ? null : met / asked,
  };
}

function total(batches: Batch[]): number {
  return batches.reduce((sum, { quantity }) => sum + quantity, 0);
}

function wholeDays(days: number, order: number): number {
  if (!(Number.isInteger(days) && days >= 0)) {
    throw new Refusal('invalid', 'bad-lead-time', `order ${order} takes ${days} days; give whole days of at least 0`);
  }
  return days;
}
