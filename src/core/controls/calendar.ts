import type { Problem } from '../protocol/problem.js';
import { daysBetween } from '../time/days.js';
import type { Instant } from '../time/instant.js';
import { endOfDay, instantOfLocal, localWeek } from '../time/zone.js';

/** Local times of day, '07:00' to '19:00'; '24:00' is the end of the day. */
export interface Hours {
  from: string;
  to: string;
}

/** When a laboratory is open, by its own clock. */
export interface Calendar {
  /** Monday first; null is closed. */
  weekdays: (Hours | null)[];
  holidays: { day: string; name: string }[];
}

/** What counts until the laboratory says when it is open: always. */
export const ALWAYS_OPEN: Calendar = {
  weekdays: Array.from({ length: 7 }, () => ({ from: '00:00', to: '24:00' })),
  holidays: [],
};

const TIME = /^([01]\d|2[0-3]):[0-5]\d$/;

/** Everything that is wrong with a calendar, empty when it may be kept. */
export function checkCalendar({ weekdays, holidays }: Calendar): Problem[] {
  const problems: Problem[] = [];
  if (weekdays.length !== 7) {
    const message = `there are ${weekdays.length} weekdays; give seven, Monday first, with null for a closed one`;
    problems.push({ path: ['weekdays'], code: 'weekdays', message });
  }
  for (const [n, hours] of weekdays.entries()) {
    if (hours === null) continue;
    const path = ['weekdays', n];
    if (!TIME.test(hours.from)) {
      problems.push({ path: [...path, 'from'], code: 'time', message: `"${hours.from}" is no time such as 07:00` });
    } else if (!TIME.test(hours.to) && hours.to !== '24:00') {
      problems.push({
        path: [...path, 'to'],
        code: 'time',
        message: `"${hours.to}" is no time such as 19:00 or 24:00`,
      });
    } else if (hours.to <= hours.from) {
      const message = `it would close at ${hours.to}, before it opens at ${hours.from}; a day ends at 24:00 at the latest`;
      problems.push({ path, code: 'disorder', message });
    }
  }
  if (weekdays.length === 7 && weekdays.every((hours) => hours === null)) {
    problems.push({
      path: ['weekdays'],
      code: 'never-open',
      message: 'the laboratory would never be open; open a day',
    });
  }
  for (const [n, { day }] of holidays.entries()) {
    if (!existingDay(day)) {
      const message = `"${day}" is no day of the calendar; write it like 2026-12-25`;
      problems.push({ path: ['holidays', n, 'day'], code: 'no-such-day', message });
    } else if (holidays.findIndex((other) => other.day === day) !== n) {
      problems.push({ path: ['holidays', n, 'day'], code: 'duplicate', message: `${day} stands twice; keep one` });
    }
  }
  return problems;
}

function existingDay(day: string): boolean {
  const ms = /^\d{4}-\d\d-\d\d$/.test(day) ? Date.parse(`${day}T00:00:00.000Z`) : Number.NaN;
  return !Number.isNaN(ms) && new Date(ms).toISOString().startsWith(day);
}

/** The ISO 8601 week of a local day. `weekOf('2027-01-01')` is '2026-W53'. */
export function weekOf(day: string): string {
  return localWeek(`${day}T12:00:00.000Z`, 'UTC');
}

/** When the laboratory opens and closes on a local day; null when it is closed, by the weekday or by a holiday. */
export function openOn(calendar: Calendar, day: string, zone: string): OpenFrom | null {
  const known = KNOWN.get(calendar) ?? new Map<string, OpenFrom | null>();
  KNOWN.set(calendar, known);
  const place = `${day} ${zone}`;
  const found = known.get(place);
  if (found !== undefined) return found;
  const reckoned = reckon(calendar, day, zone);
  known.set(place, reckoned);
  return reckoned;
}

export interface OpenFrom {
  from: Instant;
  to: Instant;
}

/** A schedule asks the same days again for each protocol and control; reckoning in a zone costs more than all else. */
const KNOWN = new WeakMap<Calendar, Map<string, OpenFrom | null>>();

function reckon(calendar: Calendar, day: string, zone: string): OpenFrom | null {
  if (calendar.holidays.some((holiday) => holiday.day === day)) return null;
  // Day 0 of the epoch was a Thursday.
  const weekday = (((daysBetween('1970-01-01', day) + 3) % 7) + 7) % 7;
  const hours = calendar.weekdays[weekday] ?? null;
  if (hours === null) return null;
  return {
    from: instantOfLocal(`${day}T${hours.from}`, zone),
    to: hours.to === '24:00' ? endOfDay(day, zone) : instantOfLocal(`${day}T${hours.to}`, zone),
  };
}
