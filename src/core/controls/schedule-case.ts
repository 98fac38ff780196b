import { Refusal } from '../refusal.js';
import { Fields } from '../time/fields.js';
import { localDay } from '../time/zone.js';
import { ALWAYS_OPEN, type Calendar, checkCalendar, weekOf } from './calendar.js';
import type { CoveringResult, Stained, Use } from './coverage.js';
import {
  type ControlPlan,
  PLAN_TIMES,
  type PlannedClock,
  type PlannedControl,
  USE_COUNTS,
  type UseDefinition,
} from './planned.js';
import { schedule } from './schedule.js';
import type { ControlTask } from './task.js';

export interface ScheduleResult {
  id: string;
  tasks: ControlTask[];
}

/** More days than anybody plans ahead or looks back on at once. */
const LONGEST_WINDOW_DAYS = 1_000;

/**
 * Computes one schedule case as given in JSON: `{id, zone, now, since, window: {from, to}, calendar?, protocol, use?,
 * controls: [{id, clocks: [{when, n?}]}], uses, results, lots?, services?}`, all instants UTC and all days local; refuses
 * one that cannot be computed. A use is `{run, at, slides?, station?, revision?, lots?, stains?, newSince?, servicedAt?,
 * patients?}`, a result `{id, control, run?, at, readAt?, passed, ...}`. Answers each task with where it stands.
 */
export function computeSchedule(input: unknown): ScheduleResult {
  const fields = new Fields(input);
  const id = fields.text('id');
  const zone = fields.text('zone');
  const window = fields.object('window').onlyKeys('from', 'to');
  const [from, to] = [dayOf(window, 'from'), dayOf(window, 'to')];
  if (to < from) throw malformed(`window.to ${to} is before window.from ${from}; turn them round`);
  if (Date.parse(to) - Date.parse(from) > LONGEST_WINDOW_DAYS * 86_400_000) {
    throw malformed(`the window is longer than ${LONGEST_WINDOW_DAYS} days; ask for a part of it`);
  }
  const plan: ControlPlan = {
    protocolId: fields.text('protocol'),
    use: fields.has('use') ? readUseDefinition(fields.object('use')) : { words: 'one run', counts: 'run' },
    controls: fields.list('controls').map(readControl),
  };
  const optional = (name: string): Fields[] => (fields.has(name) ? fields.list(name) : []);
  const facts = {
    plan,
    since: fields.instant('since'),
    uses: fields.list('uses').map((use) => readUse(use, zone)),
    results: fields.list('results').map((result) => readResult(result, zone)),
    lots: optional('lots').map((lot) => {
      lot.onlyKeys('id', 'reagent', 'number', 'at');
      return { id: lot.text('id'), reagent: lot.text('reagent'), number: lot.text('number'), at: lot.instant('at') };
    }),
    services: optional('services').map((service) => {
      service.onlyKeys('id', 'at', 'station');
      return { id: service.text('id'), at: service.instant('at'), station: textOr(service, 'station') };
    }),
    calendar: fields.has('calendar') ? readCalendar(fields.object('calendar')) : ALWAYS_OPEN,
    zone,
  };
  return { id, tasks: schedule(facts, { from, to }, fields.instant('now')) };
}

function dayOf(fields: Fields, name: string): string {
  const day = fields.text(name);
  if (!/^\d{4}-\d\d-\d\d$/.test(day) || !new Date(`${day}T00:00:00.000Z`).toJSON()?.startsWith(day)) {
    throw malformed(`${fields.path}.${name} is "${day}"; write a day of the calendar like 2026-11-25`);
  }
  return day;
}

function readUseDefinition(fields: Fields): UseDefinition {
  fields.onlyKeys('counts', 'hours');
  const counts = USE_COUNTS.find((each) => each === fields.text('counts'));
  if (!counts) throw malformed(`use.counts is none of ${USE_COUNTS.join(', ')}`);
  return { words: counts, counts, ...(fields.has('hours') && { hours: fields.number('hours') }) };
}

function readControl(fields: Fields): PlannedControl {
  fields.onlyKeys('id', 'kind', 'clocks');
  return {
    id: fields.text('id'),
    kind: 'positive',
    material: '',
    expected: '',
    criteria: [],
    required: true,
    clocks: fields.list('clocks').map(readClock),
    secondReader: false,
    pictures: false,
  };
}

function readClock(fields: Fields): PlannedClock {
  fields.onlyKeys('when', 'n', 'clause');
  const when = PLAN_TIMES.find((each) => each === fields.text('when'));
  if (!when) throw malformed(`${fields.path}.when is "${fields.text('when')}"; give one of ${PLAN_TIMES.join(', ')}`);
  const counts = when.includes(' n ');
  if (counts !== fields.has('n')) {
    throw malformed(`${fields.path}: "${when}" ${counts ? 'needs' : 'takes no'} n, a number of slides or days`);
  }
  const n = counts ? fields.number('n') : undefined;
  if (n !== undefined && !(Number.isInteger(n) && n >= 1)) {
    throw malformed(`${fields.path}.n is ${n}; give a whole number of at least 1`);
  }
  return { when, ...(n !== undefined && { n }), clause: fields.has('clause') ? fields.text('clause') : '' };
}

function readStained(fields: Fields, zone: string): Stained {
  const at = fields.instant('at');
  const day = localDay(at, zone);
  return {
    runId: textOr(fields, 'run'),
    revisionId: textOr(fields, 'revision') ?? 'revision',
    station: textOr(fields, 'station'),
    at,
    day,
    week: weekOf(day),
    month: day.slice(0, 7),
    lots: lotsOf(fields),
    ...(fields.has('patients') && { patients: fields.values('patients').map(String) }),
  };
}

function readUse(fields: Fields, zone: string): Use {
  fields.onlyKeys(...STAINED, 'slides', 'stains', 'newSince', 'servicedAt');
  const stained = readStained(fields, zone);
  const stains = fields.has('stains') ? fields.values('stains').map(String) : [];
  return {
    ...stained,
    runId: fields.text('run'),
    slides: fields.has('slides') ? fields.number('slides') : 1,
    stains: stains.map((reagent) => ({ reagent, number: stained.lots[reagent] ?? '' })),
    newSince: fields.has('newSince') ? fields.instant('newSince') : null,
    servicedAt: fields.has('servicedAt') ? fields.instant('servicedAt') : null,
  };
}

function readResult(fields: Fields, zone: string): CoveringResult {
  fields.onlyKeys(...STAINED, 'id', 'control', 'readAt', 'passed');
  const stained = readStained(fields, zone);
  return {
    ...stained,
    id: fields.text('id'),
    requirement: fields.text('control'),
    readAt: fields.has('readAt') ? fields.instant('readAt') : stained.at,
    passed: fields.flag('passed'),
  };
}

const STAINED = ['run', 'revision', 'station', 'at', 'lots', 'patients'];

function lotsOf(fields: Fields): Record<string, string> {
  if (!fields.has('lots')) return {};
  const lots = fields.object('lots');
  return Object.fromEntries(lots.names().map((name) => [name, lots.text(name)]));
}

function readCalendar(fields: Fields): Calendar {
  fields.onlyKeys('weekdays', 'holidays');
  const calendar: Calendar = {
    weekdays: fields.values('weekdays').map((hours, n) => {
      if (hours === null) return null;
      const own = new Fields(hours, `calendar.weekdays.${n}`).onlyKeys('from', 'to');
      return { from: own.text('from'), to: own.text('to') };
    }),
    holidays: fields.list('holidays').map((holiday) => ({ day: holiday.text('day'), name: holiday.text('name') })),
  };
  const [fault] = checkCalendar(calendar);
  if (fault) throw malformed(`calendar.${fault.path.join('.')}: ${fault.message}`);
  return calendar;
}

function textOr(fields: Fields, name: string): string | null {
  return fields.has(name) ? fields.orNull(name, (each) => fields.text(each)) : null;
}

function malformed(message: string): Refusal {
  return new Refusal('invalid', 'malformed-case', message);
}
