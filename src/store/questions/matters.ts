import { counted } from '../../core/counted.js';
import {
  bathMatter,
  countMatter,
  type DueBath,
  excursionMatter,
  expiringMatter,
  type ExpiringLot,
  type Matter,
  type OrderFacts,
  orderMatter,
  type PicricBottle,
  undatedMatter,
  unreadMatter,
  type WatchedPlace,
  waterMatter,
} from '../../core/alerts/matter.js';
import type { CalendarEntry } from '../../core/alerts/calendar.js';
import { deviationEntry, deviationMatter } from '../../core/alerts/deviation.js';
import { termEntry, termMatter } from '../../core/alerts/term.js';
import { usableUntil } from '../../core/lot/expiry.js';
import type { Limit } from '../../core/lot/lot.js';
import { bathDue } from '../../core/lot/bath.js';
import { leadOf, stockCourse, stockOutlook } from '../../core/stock/outlook.js';
import { daysBetween, plusDays } from '../../core/time/days.js';
import { type Instant, plusMs } from '../../core/time/instant.js';
import { openOn } from '../../core/controls/calendar.js';
import { endOfDay, localDay } from '../../core/time/zone.js';
import type { View } from '../view.js';
import { knownBaths } from './baths.js';
import { calendarOf } from './control-plans.js';
import { controlEntries } from './control-tasks.js';
import { openCounts } from './counts.js';
import { dueOfDeviations } from './deviations.js';
import { outlookFacts } from './outlook.js';
import { latestReadings, placesOf } from './places.js';
import { catalogue } from './reagents.js';
import { runningTerms } from './terms.js';
import { asked } from './trace/reach.js';
import { waterCheckOf } from './water-checks.js';

/** How far ahead a calendar shows what is coming. */
const CALENDAR_DAYS = 200;

/** When it is asked. */
export interface When {
  now: Instant;
  zone: string;
}

/** All that holds now and that somebody should know, one per matter. */
export async function mattersNow(view: View, when: When): Promise<Matter[]> {
  const today = localDay(when.now, when.zone);
  const { lots, orders } = await stockDates(view, when);
  const counts = await openCounts(view);
  const names = new Map((await catalogue(view)).map(({ code, name }) => [code, name]));
  const day = {
    dayFrom: endOfDay(plusDays(today, -1), when.zone),
    open: openOn(await calendarOf(view), today, when.zone),
  };
  return [
    ...lots.flatMap((lot) => expiringMatter(lot, today) ?? []),
    ...orders.flatMap((order) => orderMatter(order, today) ?? []),
    ...(await dueBaths(view, when.now)).filter(({ now }) => now).map((bath) => bathMatter(bath, when.now)),
    ...counts.map((count) => countMatter({ ...count, reagent: names.get(count.reagent) ?? count.reagent })),
    ...(await openExcursions(view)).map(excursionMatter),
    ...(await undated(view)).map(undatedMatter),
    ...(await picricBottles(view)).flatMap((bottle) => waterMatter(bottle, when.now) ?? []),
    ...(await runningTerms(view, when.now)).flatMap((term) => termMatter(term, when.now) ?? []),
    ...(await dueOfDeviations(view)).flatMap((due) => deviationMatter(due, when.now) ?? []),
    ...(await watchedPlaces(view)).flatMap((place) => unreadMatter(place, day, when.now) ?? []),
  ];
}

/** Days and instants of what is coming, for a calendar; each source is one function, so that a topic adds its own here. */
export async function calendarEntries(view: View, when: When): Promise<CalendarEntry[]> {
  const parts = await Promise.all(SOURCES.map((source) => source(view, when)));
  return parts.flat();
}

const SOURCES: readonly ((view: View, when: When) => Promise<CalendarEntry[]>)[] = [
  stockEntries,
  bathEntries,
  controlEntries,
  termEntries,
  deviationEntries,
];

async function termEntries(view: View, { now }: When): Promise<CalendarEntry[]> {
  const last = plusMs(now, CALENDAR_DAYS * 86_400_000);
  return (await runningTerms(view, now)).filter(({ until }) => until <= last).map(termEntry);
}

async function deviationEntries(view: View, { zone }: When): Promise<CalendarEntry[]> {
  // The due instant is the first after the last day.
  return (await dueOfDeviations(view)).map((each) => deviationEntry(each, localDay(plusMs(each.item.due, -1), zone)));
}

async function stockEntries(view: View, when: When): Promise<CalendarEntry[]> {
  const today = localDay(when.now, when.zone);
  const last = plusDays(today, CALENDAR_DAYS);
  const { lots, orders, coming } = await stockDates(view, when);
  return [
    ...lots
      .filter(({ lastDay }) => lastDay >= today && lastDay <= last)
      .map(({ id, reagent, number, lastDay, containers }) => ({
        key: `lot-expiry:${id}`,
        day: lastDay,
        title: `Last day: ${reagent}, lot ${number}`,
        about: `${counted(containers, 'container')} left; not to be used after this day.`,
        path: `/stock/${id}`,
      })),
    ...orders.flatMap((order) => {
      const { code, reagent, orderBy } = order;
      if (orderBy === null || orderBy > last) return [];
      return [
        {
          key: `order-by:${code}`,
          // What should have been ordered is still to be ordered, today.
          day: orderBy < today ? today : orderBy,
          title: `Order by: ${reagent}`,
          about: 'The last day on which an order is in time, acceptance testing included.',
          path: '/stock/outlook',
        },
      ];
    }),
    ...coming.map(({ code, reagent, name, arrives }) => ({
      key: `expected:${name}:${code}`,
      day: arrives < today ? today : arrives,
      title: `Expected: ${reagent}`,
      about: `Order ${name}.`,
      path: '/stock/orders',
    })),
  ];
}

async function bathEntries(view: View, { now }: When): Promise<CalendarEntry[]> {
  return (await dueBaths(view, now)).flatMap(({ containerId, label, what, due }) =>
    due === null
      ? []
      : [
          {
            key: `bath-${what}:${containerId}`,
            at: due,
            title: `${what === 'change' ? 'Change' : 'Filter'} the bath ${label}`,
            about: 'Not to be used after this until it is done.',
            path: '/stock/baths',
          },
        ],
  );
}

/** What is to be done to each bath in use, and whether it is time to say so: within a day, or nearly used up. */
async function dueBaths(view: View, now: Instant): Promise<(DueBath & { now: boolean })[]> {
  const soon = plusMs(now, 86_400_000);
  return (await knownBaths(view)).flatMap(({ row: { containerId }, container: { label }, facts }) => {
    const standing = bathDue(facts, now);
    if (!standing) return [];
    const { changeDueAt, changeDue, soon: soonChanged, filterDueAt, left } = standing;
    const bath = { containerId, label, left };
    const change = { ...bath, what: 'change' as const, due: changeDueAt, now: changeDue || soonChanged };
    const filter = {
      ...bath,
      what: 'filter' as const,
      due: filterDueAt,
      now: filterDueAt !== null && filterDueAt <= soon,
    };
    return filterDueAt === null ? [change] : [change, filter];
  });
}

interface StockDates {
  lots: ExpiringLot[];
  orders: OrderFacts[];
  coming: { code: string; reagent: string; name: string; arrives: string }[];
}

/** What is here with its last day, what must be ordered by when, and what is on its way. */
async function stockDates(view: View, { now, zone }: When): Promise<StockDates> {
  const today = localDay(now, zone);
  const stored = await lotsHere(view);
  const known = new Map<string, { leadDays: number | null; unit: string; left: Map<string, number> }>();
  const dates: StockDates = { lots: [], orders: [], coming: [] };
  const names = new Map((await catalogue(view)).map(({ code, name }) => [code, name]));
  for await (const { reagent, unit, facts } of outlookFacts(view, today, zone)) {
    const { code, name } = reagent;
    const bought = facts.product !== null || facts.observedLeadDays.length > 0;
    const used = facts.history.some((amount) => amount > 0);
    const lastDays = facts.shelf.flatMap(({ lastDay }) => lastDay ?? []).sort();
    const days = Math.max(1, daysBetween(today, lastDays.at(-1) ?? today) + 1);
    const left = new Map(
      used
        ? facts.shelf.map((each) => [each.name, 0] as const)
        : facts.shelf.map((each) => [each.name, each.quantity] as const),
    );
    if (used) {
      for (const each of stockCourse(facts, today, days).expiring) left.set(each.name, each.quantity);
    }
    known.set(code, { leadDays: bought ? leadOf(facts).mean : null, unit, left });
    const { figures, orderBy } = stockOutlook(facts, today);
    const { position, reorderPoint, quantity, packs } = figures;
    dates.orders.push({
      code,
      reagent: name,
      unit,
      position: position ?? 0,
      reorderPoint: reorderPoint ?? 0,
      quantity,
      packs,
      orderBy: facts.product === null ? null : orderBy,
    });
    for (const each of facts.coming) dates.coming.push({ code, reagent: name, name: each.name, arrives: each.arrives });
  }
  for (const lot of stored) {
    const until = usableUntil(lot.limits);
    if (until === null) continue;
    const of = known.get(lot.code);
    const left = lot.labels.map((label) => of?.left.get(label) ?? null);
    dates.lots.push({
      id: lot.id,
      reagent: names.get(lot.code) ?? lot.code,
      number: lot.number,
      origin: lot.origin,
      lastDay: localDay(plusMs(until, -1), zone),
      containers: lot.labels.length,
      leadDays: of?.leadDays ?? null,
      // One bottle of unknown content makes the whole unknown.
      leftover: left.some((each) => each === null) ? null : left.reduce<number>((sum, each) => sum + (each ?? 0), 0),
      unit: of?.unit ?? '',
    });
  }
  return dates;
}

interface StoredLot {
  id: string;
  code: string;
  number: string;
  origin: 'supplied' | 'prepared';
  limits: Limit[];
  labels: string[];
}

/** Lots that may be used, or may come to be, of which a bottle is neither empty nor thrown away; baths have their own. */
async function lotsHere(view: View): Promise<StoredLot[]> {
  const rows = await asked<Omit<StoredLot, 'limits' | 'labels'> & { limits: string; label: string }>(
    view,
    `SELECT lot.id, lot.reagent_code AS code, lot.number, lot.origin, lot.limits, container.label
      FROM lot JOIN container ON container.lot_id = lot.id
      WHERE lot.laboratory_id = $1 AND container.vessel IS NULL
        AND COALESCE((SELECT standing FROM lot_act WHERE lot_act.lot_id = lot.id ORDER BY at DESC, seq DESC, lot_act.id DESC
          LIMIT 1), 'quarantined') IN ('quarantined', 'accepted')
        AND NOT EXISTS (SELECT 1 FROM container_act gone WHERE gone.container_id = container.id
          AND gone.state IN ('emptied', 'discarded'))
      ORDER BY lot.id, container.id`,
    [view.laboratoryId],
  );
  const lots = new Map<string, StoredLot>();
  for (const { label, limits, ...lot } of rows) {
    const known = lots.get(lot.id);
    if (known) known.labels.push(label);
    else lots.set(lot.id, { ...lot, limits: JSON.parse(limits) as Limit[], labels: [label] });
  }
  return [...lots.values()];
}

function openExcursions(view: View): Promise<{ id: string; place: string; since: Instant }[]> {
  return asked(
    view,
    `SELECT excursion.id, COALESCE((SELECT place.name FROM place WHERE place.laboratory_id = excursion.laboratory_id
        AND place.code = excursion.place ORDER BY place.seq DESC LIMIT 1), excursion.place) AS place, excursion.since
      FROM excursion WHERE excursion.laboratory_id = $1
        AND NOT EXISTS (SELECT 1 FROM excursion_end WHERE excursion_end.excursion_id = excursion.id)
      ORDER BY excursion.since, excursion.id`,
    [view.laboratoryId],
  );
}

/** Containers that stood on a tray and of which nobody has said that they were opened. */
function undated(view: View): Promise<{ id: string; lotId: string; label: string; at: Instant }[]> {
  return asked(
    view,
    `SELECT container.id, container.lot_id AS "lotId", container.label, MIN(tray_use.at) AS at
      FROM container JOIN tray_use ON tray_use.container_id = container.id
      WHERE container.laboratory_id = $1
        AND NOT EXISTS (SELECT 1 FROM container_act WHERE container_act.container_id = container.id)
      GROUP BY container.id, container.lot_id, container.label ORDER BY container.id`,
    [view.laboratoryId],
  );
}

/** Bottles of picric acid that are neither empty nor thrown away, with the last look at their water. */
async function picricBottles(view: View): Promise<PicricBottle[]> {
  const special = (await catalogue(view)).filter((each) => each.special === 'picric acid');
  if (special.length === 0) return [];
  const rows = await asked<{ id: string; lotId: string; label: string; code: string; receivedAt: Instant }>(
    view,
    `SELECT container.id, container.lot_id AS "lotId", container.label, lot.reagent_code AS code, lot.received_at AS "receivedAt"
      FROM container JOIN lot ON lot.id = container.lot_id
      WHERE lot.laboratory_id = $1 AND lot.reagent_code IN (${special.map((_, n) => `$${n + 2}`).join(', ')})
        AND NOT EXISTS (SELECT 1 FROM container_act gone WHERE gone.container_id = container.id
          AND gone.state IN ('emptied', 'discarded'))
      ORDER BY container.id`,
    [view.laboratoryId, ...special.map(({ code }) => code)],
  );
  const bottles: PicricBottle[] = [];
  for (const { id, lotId, label, code, receivedAt } of rows) {
    const reagent = special.find((each) => each.code === code);
    const check = reagent && (await waterCheckOf(view, { id }, { receivedAt }, reagent));
    if (check) bottles.push({ id, lotId, label, check });
  }
  return bottles;
}

/** Storage places that keep to a temperature, with when each was last read; what is set apart need not keep it any more. */
async function watchedPlaces(view: View): Promise<WatchedPlace[]> {
  const latest = await latestReadings(view);
  return (await placesOf(view))
    .filter(({ min, max, apart }) => !apart && (min !== null || max !== null))
    .map(({ code, name }) => ({ code, name, latest: latest.get(code)?.at ?? null }));
}
