import { fillRate, reorderPointForFillRate } from './order-size.js';
import { datedLots, leadOf, type Outlook, termsOf } from './outlook.js';
import type { OutlookFacts } from './outlook-facts.js';
import { demandOver, undershoot } from './reorder.js';
import { coming, usageOf } from './usage.js';
import { expectedWaste, orderCap, orderCapAtRisk } from './waste.js';

/** A share that is as good as sure to a person who buys: common practice, no source. */
const NINE_OF_TEN = 0.9;

/** Other looks at an order's size than the one that proposed it; null where they do not apply. */
export interface OrderCheck {
  /** The most of which nothing more expires than without it, first expired first out. */
  capFefo: number | null;
  /** The most that is used up before it expires in nine of ten cases. */
  capAtRisk: number | null;
  /** What of the order expires on average when use varies as it did. */
  wasteOnAverage: number | null;
  /** Share of the demand met from stock at this reorder point and order. */
  fillRate: number | null;
  /** The reorder point that would meet the service level as a share of the demand instead. */
  reorderPointForFill: number | null;
}

/** What else speaks for or against a proposed order, from the same facts as its outlook. */
export function checkOrder(facts: OutlookFacts, outlook: Outlook, today: string): OrderCheck {
  const { history, policy } = facts;
  const none = { capFefo: null, capAtRisk: null, wasteOnAverage: null, fillRate: null, reorderPointForFill: null };
  const { quantity, position } = outlook.figures;
  const { perDay, method } = usageOf(history, policy);
  if (facts.product === null || perDay.mean === 0 || position === null) return none;
  const lead = leadOf(facts);
  const { packSize, shelfLifeDaysOnArrival: life } = termsOf(facts);
  const size = quantity !== null && quantity > 0 ? quantity : packSize;
  const below = undershoot(perDay, policy.reviewDays);
  const inLead = demandOver(perDay, lead);
  const cover = { mean: inLead.mean + below.mean, sd: Math.hypot(inLead.sd, below.sd) };
  const filling = {
    fillRate: outlook.byCount ? null : fillRate(cover, outlook.figures.reorderPoint ?? 0, size),
    reorderPointForFill: outlook.byCount ? null : reorderPointForFillRate(cover, size, policy.serviceLevel),
  };
  if (life === null) return { ...none, ...filling };
  const arrives = Math.ceil(lead.mean);
  const lastDay = arrives + life - 1;
  const lots = datedLots(facts, today).filter((lot) => Number.isFinite(lot.lastDay));
  const horizon = Math.max(lastDay, ...lots.map((lot) => lot.lastDay)) + 1;
  const usedFirst = Math.max(0, position - perDay.mean * lead.mean);
  const toExpiry = { kind: 'normal' as const, ...demandOver(perDay, { mean: life, sd: 0 }) };
  const left = { ...toExpiry, mean: Math.max(0, toExpiry.mean - usedFirst) };
  return {
    ...filling,
    capFefo: orderCap(lots, coming(history, method, policy, horizon), { lot: 'the order', arrives, lastDay }, packSize),
    capAtRisk: orderCapAtRisk(toExpiry, usedFirst, NINE_OF_TEN),
    wasteOnAverage: expectedWaste(left, quantity ?? 0),
  };
}
