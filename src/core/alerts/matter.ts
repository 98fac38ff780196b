import { counted } from '../counted.js';
import { quantityText } from './quantity-text.js';
import type { OpenFrom } from '../controls/calendar.js';
import type { WaterCheck } from '../storage/put-away.js';
import { plusDays } from '../time/days.js';
import { epochMs, type Instant } from '../time/instant.js';

/** What a person of the laboratory is told of. */
export const ALERT_KINDS = [
  'lot expiring',
  'order due',
  'bath due',
  'count open',
  'excursion open',
  'opened undated',
  'water check due',
  'temperature unread',
  'term ending',
  'deviation due',
] as const;
export type AlertKind = (typeof ALERT_KINDS)[number];

/** One thing that holds now and that somebody should know; told once while it lasts. */
export interface Matter {
  /** The same for the same matter each time it is looked at: 'lot expiring:<lot>'. */
  key: string;
  kind: AlertKind;
  text: string;
  /** Page where it is dealt with. */
  path: string;
}

/** Where no lead time is known, a replacement is thought to take so long: common practice, no source. */
export const USUAL_LEAD_DAYS = 30;
/** A preparation is made anew here, so a day's notice does: common practice, no source. */
export const PREPARED_LEAD_DAYS = 1;

/** A lot of which something is left. */
export interface ExpiringLot {
  id: string;
  reagent: string;
  number: string;
  origin: 'supplied' | 'prepared';
  /** Last local day on which it may be used. */
  lastDay: string;
  /** Containers that are neither empty nor thrown away. */
  containers: number;
  /** Days until a replacement ordered today is here and accepted; null when nothing is known. */
  leadDays: number | null;
  /** What will be left of it at the forecast use, in the reagent's unit; null when its amount or use is not known. */
  leftover: number | null;
  unit: string;
}

/**
 * A lot that ends before, or on the day on which, a replacement ordered today could take its place, unless the forecast use
 * empties it before: that is the reorder point's matter. Days are local. With 10 days of lead and testing, a lot whose last
 * day is 2026-12-05 is told of from 2026-11-25 on.
 */
export function expiringMatter(lot: ExpiringLot, today: string): Matter | null {
  const lead = lot.origin === 'prepared' ? PREPARED_LEAD_DAYS : Math.ceil(lot.leadDays ?? USUAL_LEAD_DAYS);
  if (lot.lastDay > plusDays(today, lead) || lot.leftover === 0) return null;
  const over = lot.lastDay < today;
  const left =
    lot.leftover === null
      ? `${counted(lot.containers, 'container is', 'containers are')} left`
      : `about ${quantityText(lot.leftover, lot.unit)} will be left of it`;
  const todo = over
    ? 'move it off the shelf and discard it.'
    : lot.origin === 'prepared'
      ? 'prepare anew in time.'
      : `a replacement takes ${counted(lead, 'day')}${lot.leadDays === null ? ', as no delivery has shown yet' : ''}.`;
  return {
    key: `lot expiring:${lot.id}`,
    kind: 'lot expiring',
    text: `${lot.reagent}, lot ${lot.number}: last day of use ${over ? 'was' : 'is'} ${lot.lastDay}; ${left}; ${todo}`,
    path: `/stock/${lot.id}`,
  };
}

/** What an outlook says of ordering. */
export interface OrderFacts {
  code: string;
  reagent: string;
  unit: string;
  position: number;
  reorderPoint: number;
  /** What is proposed to be ordered, and in how many packs; null when it is not bought. */
  quantity: number | null;
  packs: number | null;
  /** Last local day on which an order is in time; null when none is needed. */
  orderBy: string | null;
}

/** A reagent that is at or below its reorder point, or has to be ordered today or should have been. */
export function orderMatter(facts: OrderFacts, today: string): Matter | null {
  const { code, reagent, unit, position, reorderPoint, quantity, packs, orderBy } = facts;
  const due = orderBy !== null && orderBy <= today;
  if (quantity === null || packs === null || quantity <= 0 || (position > reorderPoint && !due)) return null;
  const by =
    orderBy === null ? '' : orderBy < today ? ` It should have been ordered by ${orderBy}.` : ` Order by ${orderBy}.`;
  return {
    key: `order due:${code}`,
    kind: 'order due',
    text:
      `${reagent}: ${quantityText(position, unit)} here and coming, reorder point ${quantityText(reorderPoint, unit)}; ` +
      `proposed are ${quantityText(quantity, unit)} in ${counted(packs, 'pack')}.${by}`,
    path: '/stock/outlook',
  };
}

/** A bath that is or soon will be due. */
export interface DueBath {
  containerId: string;
  label: string;
  what: 'change' | 'filter';
  /** The first instant at which it is overdue; null while only its slides tell. */
  due: Instant | null;
  /** Slides that it may still stain; null when nothing limits them. */
  left: number | null;
}

/** A bath that has to be changed or filtered, by when or after how many slides. */
export function bathMatter({ containerId, label, what, due, left }: DueBath, now: Instant): Matter {
  const verb = what === 'change' ? 'changed' : 'filtered';
  const when = due === null ? `after ${left ?? 0} more slides` : `by ${due}`;
  return {
    key: `bath due:${containerId}:${what}`,
    kind: 'bath due',
    text: `The bath ${label} ${due !== null && due <= now ? 'had' : 'has'} to be ${verb} ${when}.`,
    path: '/stock/baths',
  };
}

/** A container whose content the ledger cannot explain. */
export function countMatter({
  containerId,
  label,
  reagent,
}: {
  containerId: string;
  label: string;
  reagent: string;
}): Matter {
  return {
    key: `count open:${containerId}`,
    kind: 'count open',
    text: `${label} with ${reagent}: more was used than the ledger held, or somebody asked for a count; count what is in it.`,
    path: '/stock/counts',
  };
}

/** A storage place that is outside its limits and has not come back. */
export function excursionMatter({ id, place, since }: { id: string; place: string; since: Instant }): Matter {
  return {
    key: `excursion open:${id}`,
    kind: 'excursion open',
    text: `${place} has been outside its limits since ${since}: move what lies there, and decide on each container that is on hold.`,
    path: '/stock/places',
  };
}

/** A bottle that stood on a tray and that nobody has dated as opened: without the date its opened life cannot be told. */
export function undatedMatter({
  id,
  lotId,
  label,
  at,
}: {
  id: string;
  lotId: string;
  label: string;
  at: Instant;
}): Matter {
  return {
    key: `opened undated:${id}`,
    kind: 'opened undated',
    text: `${label} was put on a tray at ${at} and is recorded as unopened: record when it was opened.`,
    path: `/stock/${lotId}`,
  };
}

/** So long before a look at the water over picric acid is overdue it is told of: common practice, no source. */
export const WATER_NOTICE_DAYS = 14;

/** A bottle of picric acid that is here. */
export interface PicricBottle {
  id: string;
  lotId: string;
  label: string;
  check: WaterCheck;
}

/**
 * Picric acid whose water has to be looked at within 14 days, or should have been; null before, and of a bottle that was found
 * dry, which is on hold. Dry picric acid explodes (common practice, no source). With a check due by 2027-05-26T00:00:00.000Z
 * a bottle is told of from 2027-05-12T00:00:00.000Z on.
 */
export function waterMatter({ id, lotId, label, check }: PicricBottle, now: Instant): Matter | null {
  if (!check.wet || epochMs(now) < epochMs(check.due) - WATER_NOTICE_DAYS * 86_400_000) return null;
  const todo =
    check.due <= now
      ? `the water over it should have been looked at before ${check.due}: look at it where it stands without opening or shaking it, and if it may have dried leave it there and call who answers for safety here.`
      : `look at the water over it before ${check.due}, without opening the bottle, and record the check.`;
  return {
    key: `water check due:${id}`,
    kind: 'water check due',
    text: `${label}, picric acid: ${todo}`,
    path: `/stock/${lotId}`,
  };
}

/** A storage place that keeps to a temperature. */
export interface WatchedPlace {
  code: string;
  name: string;
  /** Last reading of it; null when there was never one. */
  latest: Instant | null;
}

/**
 * A storage place of which no temperature was read on a day of work though half of its hours are over (42 CFR 493.1252(b):
 * conditions are monitored; half a day: common practice, no source). `open` is null on a day without work, `dayFrom` the day's
 * first instant. Open from 07:00 to 19:00, a place not read is told of from 13:00 on.
 */
export function unreadMatter(
  { code, name, latest }: WatchedPlace,
  { dayFrom, open }: { dayFrom: Instant; open: OpenFrom | null },
  now: Instant,
): Matter | null {
  if (open === null || epochMs(now) < (epochMs(open.from) + epochMs(open.to)) / 2) return null;
  if (latest !== null && latest >= dayFrom) return null;
  return {
    key: `temperature unread:${code}`,
    kind: 'temperature unread',
    text: `${name}: no temperature was read today${latest === null ? '' : `, the last one at ${latest}`}; read it and record it.`,
    path: `/stock/places/${encodeURIComponent(code)}`,
  };
}
