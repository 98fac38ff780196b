import type { LotStanding } from '../lot/lot.js';
import type { Instant } from '../time/instant.js';

/** A container that a need could be served from. */
export interface Stocked {
  id: string;
  /** First instant at which it may no longer be used; null when nothing limits it. */
  usableUntil: Instant | null;
  quantity: number;
  receivedAt: Instant;
  state: LotStanding;
}

/** What to take from which container, in the order of taking, and what no container covers. */
export interface Allocation {
  take: { id: string; quantity: number }[];
  short: number;
}

/**
 * From which containers to serve a need at an instant, first expired first out: accepted ones still usable, by the end of
 * their use (none last), then by receipt, then by id (common practice, no source; Glover 1967 for why none serves more).
 * All quantities in one unit. With 40 left in the only usable container, a need of 50 is `{take: [{id: 'd', quantity:
 * 40}], short: 10}`.
 */
export function allocateFefo(containers: Stocked[], need: number, at: Instant): Allocation {
  const usable = containers
    .filter(({ state, usableUntil }) => state === 'accepted' && (usableUntil === null || at < usableUntil))
    .sort(firstExpiredFirst);
  const take: Allocation['take'] = [];
  let short = need;
  for (const { id, quantity } of usable) {
    const taken = Math.min(quantity, short);
    if (taken > 0) take.push({ id, quantity: taken });
    short = less(short, taken);
  }
  return { take, short };
}

/** The order in which containers are taken: by the end of their use, none last, then by receipt, then by id. */
export function firstExpiredFirst(
  a: Pick<Stocked, 'id' | 'usableUntil' | 'receivedAt'>,
  b: Pick<Stocked, 'id' | 'usableUntil' | 'receivedAt'>,
): number {
  return later(a.usableUntil, b.usableUntil) || byText(a.receivedAt, b.receivedAt) || byText(a.id, b.id);
}

/** Days are counted from 0; stock of a lot serves from the day it arrives to its last day. */
export interface DatedLot {
  lot: string;
  quantity: number;
  arrives: number;
  /** Last day of use. */
  lastDay: number;
}

export interface FefoCourse {
  allocations: { day: number; lot: string; quantity: number }[];
  /** What is left of each lot when its last day ends. */
  waste: Map<string, number>;
  /** What is still usable of each lot after the last day of demand. */
  left: Map<string, number>;
  unmet: { day: number; quantity: number }[];
  served: number;
  /** Usable stock once each day's demand is served. */
  closing: number[];
}

/**
 * The course of stock under a known daily demand, served first expired first out, ties by arrival and then by lot; lots
 * on their way count from their day of arrival. One that arrives after its last day is wasted whole. 10 of a lot that
 * ends with day 3, at 2 a day, leave a waste of 2.
 */
export function simulateFefo(lots: DatedLot[], demandPerDay: number[]): FefoCourse {
  const order = lots
    .map((lot) => ({ ...lot, remaining: lot.quantity }))
    .sort((a, b) => a.lastDay - b.lastDay || a.arrives - b.arrives || byText(a.lot, b.lot));
  const course: FefoCourse = { allocations: [], waste: new Map(), left: new Map(), unmet: [], served: 0, closing: [] };
  demandPerDay.forEach((demand, day) => {
    let open = demand;
    let closing = 0;
    for (const item of order) {
      if (item.arrives > day || item.lastDay < day) continue;
      const quantity = Math.min(item.remaining, open);
      if (quantity > 0) {
        item.remaining = less(item.remaining, quantity);
        open = less(open, quantity);
        course.served += quantity;
        course.allocations.push({ day, lot: item.lot, quantity });
      }
      closing += item.remaining;
    }
    if (open > 0) course.unmet.push({ day, quantity: open });
    course.closing.push(closing);
  });
  for (const { lot, lastDay, remaining } of order) {
    const end = lastDay < demandPerDay.length ? course.waste : course.left;
    if (remaining > 0) end.set(lot, (end.get(lot) ?? 0) + remaining);
  }
  return course;
}

export interface OrderingTime {
  leadTimeDays: number;
  /** Days of acceptance testing before a new lot may be used. */
  acceptanceDays: number;
  /** What has to be left at all times. */
  safetyStock: number;
}

/**
 * The last day on which an order is still in time: usable on the first day that would otherwise end with less than the
 * safety stock, or short. Below 0 when it is late already; null when the demand that is known does not use the stock up.
 * 20 of a lot at 2 a day last to the end of day 9; with a lead time of 5 days and 1 of testing it is day 4.
 */
export function lastDayToOrder(lots: DatedLot[], demandPerDay: number[], time: OrderingTime): number | null {
  const { closing, unmet } = simulateFefo(lots, demandPerDay);
  const low = closing.findIndex((quantity) => less(quantity, time.safetyStock) < 0);
  const firsts = [low, unmet[0]?.day ?? -1].filter((day) => day >= 0);
  if (firsts.length === 0) return null;
  return Math.min(...firsts) - Math.ceil(time.leadTimeDays) - Math.ceil(time.acceptanceDays);
}

/** A difference that is 0 where it would only be noise of binary fractions. */
export function less(from: number, taken: number): number {
  const rest = from - taken;
  return Math.abs(rest) <= 1e-12 * Math.max(Math.abs(from), Math.abs(taken)) ? 0 : rest;
}

function later(a: Instant | null, b: Instant | null): number {
  if (a === null || b === null) return Number(a === null) - Number(b === null);
  return byText(a, b);
}

function byText(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
