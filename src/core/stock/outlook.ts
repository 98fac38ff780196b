import { daysBetween, plusDays } from '../time/days.js';
import { type DemandClass, learntLeadTime, type Spread } from './demand.js';
import { type DatedLot, type FefoCourse, lastDayToOrder, simulateFefo } from './fefo.js';
import type { ForecastMethod, OutlookFacts, OutlookStock } from './outlook-facts.js';
import { coveringCount, demandOver, isSlow, proposeOrder, reorderLevels, safetyFactor } from './reorder.js';
import { coming, type Usage, usageOf } from './usage.js';

/** How far ahead the course of stock is followed. */
export const HORIZON_DAYS = 365;
const WEEK = 7;

/** The names of all numbers that lead to a proposal, in the order of the reckoning. */
export const FIGURES = [
  'historyDays',
  'adi',
  'cv2',
  'perDay',
  'perDaySd',
  'leadDays',
  'leadSdDays',
  'leadsObserved',
  'acceptanceDays',
  'coverDays',
  'reviewDays',
  'serviceLevel',
  'safetyFactor',
  'usualTaking',
  'leadDemand',
  'safetyStock',
  'reorderPoint',
  'orderUpTo',
  'onShelf',
  'waiting',
  'expiring',
  'coming',
  'inDrafts',
  'position',
  'packSize',
  'minimumOrder',
  'shelfLifeDays',
  'quantity',
  'packs',
  'waste',
] as const;
export type FigureName = (typeof FIGURES)[number];

/** How pressing an order is; 'idle' where nothing is used, 'later' where what is here lasts beyond the coming week. */
export type Pressing = 'late' | 'today' | 'this week' | 'later' | 'idle';

/** What becomes of one reagent, and what to order, with the whole arithmetic. */
export interface Outlook {
  class: DemandClass | null;
  method: ForecastMethod;
  /** Whether the lead time was learnt from received orders. */
  leadLearnt: boolean;
  /** Whether the safety stock counts usual takings rather than following the normal distribution. */
  byCount: boolean;
  /** First local day on which demand is not met, at the mean; null when that is not within a year. */
  runsOutOn: string | null;
  /** Last local day on which an order is in time, acceptance testing included; null when none is needed within a year. */
  orderBy: string | null;
  pressing: Pressing;
  /** True when the order was cut to what is used before it expires. */
  cappedByExpiry: boolean;
  /** Every number with its name; null where there is none. */
  figures: Record<FigureName, number | null>;
}

/**
 * What a reagent's stock comes to and what to order now: the use forecast from its history, the lead time learnt or stated
 * with acceptance testing added, safety stock and reorder point at the service level, what is here, coming and in drafts less
 * what will expire unused, and from them an order in packs, cut to what is used before it expires. `today` is a local day;
 * quantities are in the reagent's declared unit. 20 on the shelf at 2 a day, 5 days of lead and 1 of testing, no spread:
 * it runs out on the tenth day after today and has to be ordered by the fourth.
 */
export function stockOutlook(facts: OutlookFacts, today: string): Outlook {
  const { history, policy, product, inDrafts } = facts;
  const usage = usageOf(history, policy);
  const lead = leadOf(facts);
  const lots = datedLots(facts, today);
  const demand = coming(history, usage.method, policy, HORIZON_DAYS);
  const course = simulateFefo(lots, demand);
  const levels = levelsOf(usage, lead, policy);

  const onShelf = sum(facts.shelf);
  const onOrder = sum(facts.coming);
  const span = Math.ceil(lead.mean + policy.coverDays);
  const expiring = lots
    .filter(({ lastDay }) => lastDay <= span)
    .reduce((total, { lot }) => total + (course.waste.get(lot) ?? 0), 0);
  const position = { onHand: onShelf - expiring, onOrder: onOrder + inDrafts };
  const order = product
    ? proposeOrder(levels, { demandPerDay: usage.perDay, leadTimeDays: lead }, position, termsOf(facts))
    : { position: position.onHand + position.onOrder, quantity: 0, cappedByExpiry: false, expectedWaste: 0 };
  const lastDay =
    usage.perDay.mean === 0
      ? null
      : lastDayToOrder(lots, demand, {
          leadTimeDays: lead.mean - policy.acceptanceDays,
          acceptanceDays: policy.acceptanceDays,
          safetyStock: levels.safetyStock,
        });
  const shortOn = course.unmet[0]?.day;
  return {
    class: usage.class,
    method: usage.method,
    leadLearnt: facts.observedLeadDays.length > 0 && learnt(facts),
    byCount: levels.byCount,
    runsOutOn: shortOn === undefined ? null : plusDays(today, shortOn),
    orderBy: lastDay === null ? null : plusDays(today, lastDay),
    pressing: pressingOf(lastDay, usage),
    cappedByExpiry: order.cappedByExpiry,
    figures: {
      historyDays: history.length,
      adi: usage.adi,
      cv2: usage.cv2,
      perDay: usage.perDay.mean,
      perDaySd: usage.perDay.sd,
      leadDays: lead.mean - policy.acceptanceDays,
      leadSdDays: lead.sd,
      leadsObserved: facts.observedLeadDays.length,
      acceptanceDays: policy.acceptanceDays,
      coverDays: policy.coverDays,
      reviewDays: policy.reviewDays,
      serviceLevel: policy.serviceLevel,
      safetyFactor: levels.byCount ? null : safetyFactor(policy.serviceLevel),
      usualTaking: levels.byCount ? usage.usualTaking : null,
      leadDemand: levels.leadDemand,
      safetyStock: levels.safetyStock,
      reorderPoint: levels.reorderPoint,
      orderUpTo: levels.orderUpTo,
      onShelf,
      waiting: sum(facts.shelf.filter(({ usable }) => !usable)),
      expiring,
      coming: onOrder,
      inDrafts,
      position: order.position,
      packSize: product?.packSize ?? null,
      minimumOrder: product?.minimumOrder ?? null,
      shelfLifeDays: product?.shelfLifeDaysOnArrival ?? null,
      quantity: product ? order.quantity : null,
      packs: product ? Math.round(order.quantity / product.packSize) : null,
      waste: product ? order.expectedWaste : null,
    },
  };
}

/** Days from an order until what it brings may be used: the lead time with the days of acceptance testing on top. */
export function leadOf({ product, observedLeadDays, policy }: OutlookFacts): Spread {
  const { mean, sd } = learntLeadTime(observedLeadDays, product?.leadTimeDays ?? { mean: 0, sd: 0 });
  return { mean: mean + policy.acceptanceDays, sd };
}

function learnt({ observedLeadDays, product }: OutlookFacts): boolean {
  const stated = product?.leadTimeDays ?? { mean: 0, sd: 0 };
  return learntLeadTime(observedLeadDays, stated) !== stated;
}

/** What an order may hold; acceptance testing takes its days from the shelf life. */
export function termsOf({ product, policy }: OutlookFacts) {
  const { packSize = 1, minimumOrder = 0, shelfLifeDaysOnArrival = null } = product ?? {};
  return {
    packSize,
    minimumOrder,
    shelfLifeDaysOnArrival:
      shelfLifeDaysOnArrival === null ? null : Math.max(0, shelfLifeDaysOnArrival - policy.acceptanceDays),
  };
}

interface Levels {
  leadDemand: number;
  safetyStock: number;
  reorderPoint: number;
  orderUpTo: number;
  byCount: boolean;
}

/** Rare demand is counted in usual takings, which are too few in a lead time for the normal distribution. */
function levelsOf(usage: Usage, lead: Spread, policy: OutlookFacts['policy']): Levels {
  const { perDay, usualTaking } = usage;
  const rare = usage.class === 'intermittent' || usage.class === 'lumpy';
  const over = (days: number): Spread => {
    const { mean, sd } = demandOver(perDay, { mean: days + policy.reviewDays, sd: lead.sd });
    const size = usualTaking ?? 1;
    return { mean: mean / size, sd: sd / size };
  };
  const takings = over(lead.mean);
  if (rare && usualTaking !== null && isSlow(takings)) {
    const [now, upTo] = [lead.mean, lead.mean + policy.coverDays].map((days) =>
      coveringCount(over(days), policy.serviceLevel),
    ) as [ReturnType<typeof coveringCount>, ReturnType<typeof coveringCount>];
    return {
      leadDemand: takings.mean * usualTaking,
      safetyStock: now.safetyStock * usualTaking,
      reorderPoint: now.level * usualTaking,
      orderUpTo: upTo.level * usualTaking,
      byCount: true,
    };
  }
  const { safetyStock, reorderPoint, orderUpTo } = reorderLevels({
    demandPerDay: perDay,
    leadTimeDays: lead,
    coverDays: policy.coverDays,
    serviceLevel: policy.serviceLevel,
    reviewDays: policy.reviewDays,
  });
  return { leadDemand: reorderPoint - safetyStock, safetyStock, reorderPoint, orderUpTo, byCount: false };
}

/** What is here and what is coming, on days counted from today; what waits for acceptance serves after its testing. */
export function datedLots({ shelf, coming: onWay, policy }: OutlookFacts, today: string): DatedLot[] {
  const testing = Math.ceil(policy.acceptanceDays);
  const lastOf = ({ lastDay }: OutlookStock): number =>
    lastDay === null ? Number.POSITIVE_INFINITY : daysBetween(today, lastDay);
  return [
    ...shelf.map((each) => ({
      lot: each.name,
      quantity: each.quantity,
      arrives: each.usable ? 0 : testing,
      lastDay: lastOf(each),
    })),
    // What should have come already comes tomorrow at the earliest.
    ...onWay.map((each) => ({
      lot: each.name,
      quantity: each.quantity,
      arrives: Math.max(1, daysBetween(today, each.arrives)) + testing,
      lastDay: lastOf(each),
    })),
  ];
}

function pressingOf(lastDay: number | null, { perDay }: Usage): Pressing {
  if (perDay.mean === 0) return 'idle';
  if (lastDay === null || lastDay > WEEK) return 'later';
  if (lastDay < 0) return 'late';
  return lastDay === 0 ? 'today' : 'this week';
}

function sum(stock: readonly { quantity: number }[]): number {
  return stock.reduce((total, { quantity }) => total + quantity, 0);
}

/** One day of the stock to come: at the mean forecast, and between what much and what little use would leave. */
export interface CourseDay {
  day: string;
  stock: number;
  low: number;
  high: number;
}

/** The stock to come of one reagent, for a chart and its table. */
export interface StockCourse {
  days: CourseDay[];
  /** What will be left of each container or delivery when its last day ends, at the mean forecast. */
  expiring: { name: string; day: string; quantity: number }[];
}

/**
 * The stock of each coming day when nothing more is ordered, first expired first out; the band holds the summed use of the
 * days with the policy's service level on either side (normal, day by day independent: common practice, no source).
 */
export function stockCourse(facts: OutlookFacts, today: string, days: number): StockCourse {
  const { history, policy } = facts;
  const usage = usageOf(history, policy);
  const lots = datedLots(facts, today);
  const mean = coming(history, usage.method, policy, days);
  const spread = safetyFactor(policy.serviceLevel) * usage.perDay.sd;
  const step = (n: number): number => spread * (Math.sqrt(n + 1) - Math.sqrt(n));
  const run = (demand: number[]): FefoCourse => simulateFefo(lots, demand);
  const [middle, low, high] = [
    run(mean),
    run(mean.map((x, n) => x + step(n))),
    run(mean.map((x, n) => Math.max(0, x - step(n)))),
  ];
  return {
    days: middle.closing.map((stock, n) => ({
      day: plusDays(today, n),
      stock,
      low: low.closing[n] ?? 0,
      high: high.closing[n] ?? 0,
    })),
    expiring: lots
      .flatMap(({ lot, lastDay }) => {
        const quantity = middle.waste.get(lot) ?? 0;
        return quantity > 0 ? [{ name: lot, day: plusDays(today, lastDay), quantity }] : [];
      })
      .sort((a, b) => (a.day < b.day ? -1 : 1)),
  };
}
