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
    .sort((a, b) => later(a.usableUntil, b.usableUntil) || byText(a.receivedAt, b.receivedAt) || byText(a.id, b.id));
  const take: Allocation['take'] = [];
  let short = need;
  for (const { id, quantity } of usable) {
    const taken = Math.min(quantity, short);
    if (taken > 0) take.push({ id, quantity: taken });
    short = less(short, taken);
  }
  return { take, short };
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
  /** Usable stock when each day ends. */
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
      if (item.lastDay > day) closing += item.remaining;
    }
    if (open > 0) course.unmet.push({ day, quantity: open });
    course.closing.push(closing);
  });
  for (const { lot, lastDay, remaining } of order) {
    if (remaining > 0) (lastDay < demandPerDay.length ? course.waste : course.left).set(lot, remaining);
  }
  return course;
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
