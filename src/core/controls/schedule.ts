import { daysBetween, plusDays } from '../time/days.js';
import { type Instant, plusMs } from '../time/instant.js';
import { endOfDay, endOfMonth, localDay } from '../time/zone.js';
import { type Calendar, openOn, weekOf } from './calendar.js';
import { clockCoverage, type CoverageFacts, type CoveringResult, indexOf, type Use } from './coverage.js';
import type { ControlTask, TaskState } from './task.js';
import { clockName, type ControlPlan, type PlannedClock, type PlannedControl } from './planned.js';

/** Controls are read while the specimen can still wait for them. Common practice, no source. */
export const CONTROLS_READ_WITHIN_MS = 30 * 60_000;

/** A lot or shipment of what stains, first opened. */
export interface OpenedLot {
  id: string;
  reagent: string;
  number: string;
  at: Instant;
}

export interface Service {
  id: string;
  at: Instant;
  station: string | null;
}

/** What the schedule of one protocol is made of. */
export interface ScheduleFacts {
  plan: ControlPlan;
  /** From when the protocol may be used; nothing is due before. */
  since: Instant;
  uses: readonly Use[];
  results: readonly CoveringResult[];
  lots: readonly OpenedLot[];
  services: readonly Service[];
  calendar: Calendar;
  zone: string;
}

/** Days of which tasks are wanted, the first and the last one included. */
export interface Window {
  from: string;
  to: string;
}

type Asked = Omit<ScheduleFacts, 'uses' | 'results' | 'calendar'> &
  Window &
  Omit<CoverageFacts, 'uses'> & {
    /** Earliest first. */
    uses: readonly Use[];
    usesOf: ReadonlyMap<string, readonly Use[]>;
    openOn: (day: string) => ReturnType<typeof openOn>;
    control: PlannedControl;
    now: Instant;
  };

/**
 * Every control task of a protocol within a window of local days, with where it stands at `now`, by clause: 42 CFR
 * 493.1256(e)(3), 493.1273(a) each use or group; 493.1256(e)(2), 493.1261, 493.1264 each day, week or month of use;
 * 493.1256(e)(1) each lot or shipment when opened; 493.1256(d)(6) after a full change or a service; so many slides or
 * days by the laboratory's own plan. Each clock makes tasks of its own, by the same rules of coverage as the gate; one
 * result may answer several. Days are the laboratory's; a task of a period is due from its first opening to its last
 * closing, once used by the closing of that day. It is missed when its period is over and a use went without.
 */
export function schedule(facts: ScheduleFacts, window: Window, now: Instant): ControlTask[] {
  const { plan, calendar, zone } = facts;
  const uses = [...facts.uses].sort((a, b) => (a.at < b.at ? -1 : 1));
  const shared: Omit<Asked, 'control'> = {
    ...facts,
    from: later(window.from, localDay(facts.since, zone)),
    to: window.to,
    use: plan.use,
    results: indexOf(facts.results),
    uses,
    usesOf: byPeriod(uses),
    openOn: (day) => openOn(calendar, day, zone),
    now,
  };
  return plan.controls
    .filter(({ required }) => required)
    .flatMap((control) => control.clocks.flatMap((clock) => tasksOf(clock, { ...shared, control })));
}

function byPeriod(uses: readonly Use[]): Map<string, Use[]> {
  const map = new Map<string, Use[]>();
  for (const use of uses) {
    for (const period of [use.day, use.week, use.month]) {
      const list = map.get(period);
      if (list) list.push(use);
      else map.set(period, [use]);
    }
  }
  return map;
}

function tasksOf(clock: PlannedClock, asked: Asked): ControlTask[] {
  switch (clock.when) {
    case 'each use':
    case 'each group of slides':
      return eachRun(clock, asked);
    case 'each day of use':
      return eachPeriod(clock, asked, 'day');
    case 'each week of use':
      return eachPeriod(clock, asked, 'week');
    case 'each month of use':
      return eachPeriod(clock, asked, 'month');
    case 'each new lot or shipment':
      return eachLot(clock, asked);
    case 'after a full reagent change':
      return eachChange(clock, asked);
    case 'after service of an instrument':
      return eachService(clock, asked);
    case 'every n slides':
      return everySlides(clock, asked);
    case 'every n days':
      return everyDays(clock, asked);
  }
}

type Told = Omit<ControlTask, 'key' | 'protocolId' | 'requirement' | 'clock' | 'clause'>;

function taskOf(clock: PlannedClock, { plan, control }: Asked, told: Told): ControlTask {
  const { protocolId } = plan;
  const name = clockName(clock);
  return {
    key: [protocolId, control.id, name, told.about ?? told.period].join('/'),
    protocolId,
    requirement: control.id,
    clock: name,
    clause: clock.clause,
    ...told,
  };
}

/** What one clock says of some uses: by what they are covered, and which are not. */
function covered(clock: PlannedClock, uses: readonly Use[], asked: Asked, reagent: string | null = null) {
  let by: CoveringResult | null = null;
  const uncovered: string[] = [];
  for (const use of uses) {
    const coverage = clockCoverage(asked.control.id, clock, use, asked).filter(
      (each) => reagent === null || each.reagent === null || each.reagent === reagent,
    );
    if (coverage.some(({ state }) => state !== 'met')) uncovered.push(use.runId);
    for (const each of coverage) if (each.state === 'met' && each.by && (!by || each.by.at > by.at)) by = each.by;
  }
  return { by, uncovered };
}

function eachRun(clock: PlannedClock, asked: Asked): ControlTask[] {
  return usesIn(asked).map((use) => {
    const { by, uncovered } = covered(clock, [use], asked);
    const dueUntil = plusMs(use.at, CONTROLS_READ_WITHIN_MS);
    const over = endOfDay(use.day, asked.zone) <= asked.now;
    const open = over ? 'missed' : asked.now > dueUntil ? 'overdue' : 'due';
    return taskOf(clock, asked, {
      about: use.runId,
      period: use.day,
      station: use.station,
      dueFrom: use.at,
      dueUntil,
      state: uncovered.length === 0 ? 'answered' : open,
      answeredBy: uncovered.length === 0 ? (by?.id ?? null) : null,
      uncovered,
    });
  });
}

function eachPeriod(clock: PlannedClock, asked: Asked, unit: 'day' | 'week' | 'month'): ControlTask[] {
  const { zone, now, results, control } = asked;
  return periodsOf(asked, unit).flatMap(({ period, first, last }) => {
    const uses = asked.usesOf.get(period) ?? [];
    const open = daysFrom(first, last).flatMap((day) => asked.openOn(day) ?? []);
    const [use] = uses;
    const opening = open[0]?.from ?? use?.at;
    if (opening === undefined) return [];
    const dueFrom = use && use.at < opening ? use.at : opening;
    const dueUntil = use ? closing(use.day, use.at, asked) : (open.at(-1)?.to ?? endOfDay(last, zone));
    const passing = results.at.get(`${control.id} ${period}`)?.findLast(({ passed }) => passed) ?? null;
    const { by, uncovered } = covered(clock, uses, asked);
    const answer = uses.length === 0 ? passing : by;
    const state = ((): TaskState => {
      if (uncovered.length === 0 && answer) return 'answered';
      if (uses.length > 0) return endOfDay(last, zone) <= now ? 'missed' : now > dueUntil ? 'overdue' : 'due';
      if (now < dueFrom) return 'to come';
      return now > dueUntil ? 'not needed' : 'due';
    })();
    const station = stationOf(uses);
    const answeredBy = state === 'answered' ? (answer?.id ?? null) : null;
    return [taskOf(clock, asked, { about: null, period, station, dueFrom, dueUntil, state, answeredBy, uncovered })];
  });
}

function eachLot(clock: PlannedClock, asked: Asked): ControlTask[] {
  const { results, control, now, zone, from, to } = asked;
  return asked.lots.flatMap((lot) => {
    const day = localDay(lot.at, zone);
    const uses = asked.uses.filter(({ lots }) => lots[lot.reagent] === lot.id);
    const { by, uncovered } = covered(clock, uses, asked, lot.reagent);
    const passing = results.ofRequirement
      .get(control.id)
      ?.findLast(({ passed, lots }) => passed && lots[lot.reagent] === lot.id);
    const answer = uncovered.length === 0 ? (by ?? passing ?? null) : null;
    // A lot of before that nobody uses waits for nothing.
    if (day > to || (day < from && (answer || uses.length === 0))) return [];
    const dueUntil = closing(day, lot.at, asked);
    const late = now > dueUntil && uses.length > 0;
    const state = answer ? 'answered' : now < lot.at ? 'to come' : late ? 'overdue' : 'due';
    const told = { about: lot.id, period: day, station: stationOf(uses), dueFrom: lot.at, dueUntil, uncovered };
    return [taskOf(clock, asked, { ...told, state, answeredBy: answer?.id ?? null })];
  });
}

/** The one station where all of these were; null when they were at several, or none was. */
function stationOf(uses: readonly Use[]): string | null {
  const station = uses[0]?.station ?? null;
  return uses.every((use) => use.station === station) ? station : null;
}

/** A full change shows in the first use after which nothing that stains is older than it. */
function eachChange(clock: PlannedClock, asked: Asked): ControlTask[] {
  const changes = new Map<string, Use[]>();
  for (const use of usesIn(asked)) {
    if (use.newSince === null) continue;
    const place = `${use.newSince} ${use.station ?? ''}`.trim();
    const known = changes.get(place);
    if (known) known.push(use);
    else changes.set(place, [use]);
  }
  return [...changes].flatMap(([place, uses]) => {
    const [first] = uses;
    return first ? [afterEvent(clock, asked, { about: place, at: first.at, station: first.station, uses })] : [];
  });
}

function eachService(clock: PlannedClock, asked: Asked): ControlTask[] {
  const { services, zone, from, to, results, control } = asked;
  return services.flatMap(({ id, at, station }) => {
    const day = localDay(at, zone);
    const uses = asked.uses.filter((use) => use.servicedAt === at && (station === null || use.station === station));
    const answered = results.ofRequirement.get(control.id)?.some((each) => each.passed && each.at >= at) ?? false;
    if (day > to || (day < from && answered && uses.length === 0)) return [];
    return [afterEvent(clock, asked, { about: id, at, station, uses })];
  });
}

function afterEvent(
  clock: PlannedClock,
  asked: Asked,
  event: { about: string; at: Instant; station: string | null; uses: readonly Use[] },
): ControlTask {
  const { now, zone, results, control } = asked;
  const { about, at, station, uses } = event;
  const day = localDay(at, zone);
  const { by, uncovered } = covered(clock, uses, asked);
  const since = results.ofRequirement.get(control.id)?.find((each) => each.passed && each.at >= at) ?? null;
  const answer = uncovered.length === 0 ? (by ?? since) : null;
  const dueUntil = closing(day, at, asked);
  const open = now < at ? 'to come' : now > dueUntil && uses.length > 0 ? 'overdue' : 'due';
  const state = answer ? 'answered' : open;
  return taskOf(clock, asked, {
    about,
    period: day,
    station,
    dueFrom: at,
    dueUntil,
    state,
    answeredBy: answer?.id ?? null,
    uncovered,
  });
}

/** Slides are counted from the last passing control on, those stained with it included. */
function everySlides(clock: PlannedClock, asked: Asked): ControlTask[] {
  const { zone, from, to } = asked;
  return spells(asked).flatMap(({ after, until }) => {
    const uses = asked.uses.filter(({ at }) => (!after || at >= after.at) && (!until || at < until.at));
    let slides = 0;
    const full = uses.find((use) => (slides += use.slides) >= (clock.n ?? 0));
    if (!full || full.day < from || full.day > to) return [];
    const beyond = uses.slice(uses.indexOf(full) + (slides > (clock.n ?? 0) ? 0 : 1));
    const { uncovered } = covered(clock, beyond, asked);
    const open = uncovered.length > 0 ? 'overdue' : 'due';
    const closed = uncovered.length > 0 ? 'missed' : 'answered';
    return [
      taskOf(clock, asked, {
        about: after?.id ?? `start ${localDay(asked.since, zone)}`,
        period: full.day,
        station: full.station,
        dueFrom: full.at,
        dueUntil: beyond[0]?.at ?? null,
        state: until ? closed : open,
        answeredBy: until && closed === 'answered' ? until.id : null,
        uncovered,
      }),
    ];
  });
}

/** The day that lies n days after the last passing control, or the last open day before it when that one is closed. */
function everyDays(clock: PlannedClock, asked: Asked): ControlTask[] {
  const { zone, now, from, to } = asked;
  return spells(asked).flatMap(({ after, until }) => {
    const start = after?.day ?? plusDays(localDay(asked.since, zone), -(clock.n ?? 0));
    const limit = plusDays(start, clock.n ?? 0);
    const day = daysFrom(plusDays(start, 1), limit).findLast((each) => asked.openOn(each)) ?? limit;
    if (day < from || day > to) return [];
    const hours = asked.openOn(day);
    const dueFrom = hours?.from ?? endOfDay(plusDays(day, -1), zone);
    const dueUntil = hours?.to ?? endOfDay(day, zone);
    const uses = asked.uses.filter((use) => use.day >= limit && (!until || use.day < until.day));
    const { uncovered } = covered(clock, uses, asked);
    const open = now < dueFrom ? 'to come' : now > dueUntil ? 'overdue' : 'due';
    const closed = uncovered.length > 0 ? 'missed' : 'answered';
    return [
      taskOf(clock, asked, {
        about: after?.id ?? `start ${localDay(asked.since, zone)}`,
        period: day,
        station: null,
        dueFrom,
        dueUntil,
        state: until ? closed : open,
        answeredBy: until && closed === 'answered' ? until.id : null,
        uncovered,
      }),
    ];
  });
}

/** From each passing result of the control to the next one, and from the beginning to the first. */
function spells({ results, control }: Asked): { after: CoveringResult | null; until: CoveringResult | null }[] {
  const passing = results.ofRequirement.get(control.id)?.filter(({ passed }) => passed) ?? [];
  return [null, ...passing].map((after, n) => ({ after, until: passing[n] ?? null }));
}

function usesIn({ uses, from, to }: Asked): Use[] {
  return uses.filter(({ day }) => day >= from && day <= to);
}

/** When the laboratory closes on a day; the end of that day when it is closed, or closed before `at`. */
function closing(day: string, at: Instant, asked: Asked): Instant {
  const hours = asked.openOn(day);
  return hours && hours.to > at ? hours.to : endOfDay(day, asked.zone);
}

function daysFrom(first: string, last: string): string[] {
  return Array.from({ length: Math.max(daysBetween(first, last) + 1, 0) }, (_, n) => plusDays(first, n));
}

/** The days, weeks or months that a window touches, each whole. */
function periodsOf({ from, to, zone }: Asked, unit: 'day' | 'week' | 'month') {
  const periods = new Map<string, { period: string; first: string; last: string }>();
  for (const day of daysFrom(from, to)) {
    const period = unit === 'day' ? day : unit === 'week' ? weekOf(day) : day.slice(0, 7);
    if (periods.has(period)) continue;
    const [first, last] = endsOf(day, unit, zone);
    periods.set(period, { period, first, last });
  }
  return [...periods.values()];
}

function endsOf(day: string, unit: 'day' | 'week' | 'month', zone: string): [string, string] {
  if (unit === 'day') return [day, day];
  if (unit === 'month') {
    const first = `${day.slice(0, 7)}-01`;
    return [first, localDay(plusMs(endOfMonth(day.slice(0, 7), zone), -1), zone)];
  }
  // Day 4 of the epoch, 5 January 1970, was a Monday.
  const monday = plusDays(day, -(((daysBetween('1970-01-05', day) % 7) + 7) % 7));
  return [monday, plusDays(monday, 6)];
}

function later(a: string, b: string): string {
  return a > b ? a : b;
}
