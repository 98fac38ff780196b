import { Temporal } from 'temporal-polyfill';
import { Refusal } from '../refusal.js';
import { epochMs, type Instant, instantOf, sortable } from './instant.js';

const DAY = /^\d{4}-\d\d-\d\d$/;
const MONTH = /^\d{4}-\d\d$/;
const LOCAL_DATE_TIME = /^\d{4}-\d\d-\d\dT([01]\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d{1,3})?)?$/;
const ZONE = /^[A-Za-z][\w+-]*(\/[\w+-]+)*$/;
const CALENDAR_LIFE = /^P(?=\d)(\d+Y)?(\d+M)?(\d+W)?(\d+D)?$/;
const ELAPSED_LIFE = /^PT(?=\d)(\d+([.,]\d+)?H)?(\d+([.,]\d+)?M)?(\d+([.,]\d+)?S)?$/;

/** Gives back text that names an IANA time zone and refuses any other. `knownZone('Europe/Lisbon')` is 'Europe/Lisbon'. */
export function knownZone(zone: string): string {
  const refusal = () =>
    new Refusal(
      'invalid',
      'unknown-zone',
      `"${zone}" is not a time zone known here; give an IANA name such as Europe/Lisbon or UTC`,
    );
  // The library takes an offset for a zone, but an offset knows no daylight-saving days.
  if (!ZONE.test(zone)) throw refusal();
  attempt(() => Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone), refusal);
  return zone;
}

/**
 * The first instant after a local day, which is where the next existing day begins, not always at midnight.
 * `endOfDay('2026-04-23', 'Africa/Cairo')` is '2026-04-23T22:00:00.000Z', 01:00 on the wall.
 */
export function endOfDay(day: string, zone: string): Instant {
  return startOf(plainDay(day).add({ days: 1 }), zone);
}

/** The first instant after the last day of a local month. `endOfMonth('2028-02', 'UTC')` is '2028-03-01T00:00:00.000Z'. */
export function endOfMonth(month: string, zone: string): Instant {
  if (!MONTH.test(month)) throw badDate(month, 'a month is written like 2026-11');
  return startOf(plainDay(`${month}-01`).add({ months: 1 }), zone);
}

/**
 * The instant at which the wall clock shows a local date and time; a time that the clock skips is read with the offset
 * before the gap, one that it shows twice means the first (RFC 5545 section 3.3.5).
 * `instantOfLocal('2027-06-30T14:30', 'Europe/Lisbon')` is '2027-06-30T13:30:00.000Z'.
 */
export function instantOfLocal(dateTime: string, zone: string): Instant {
  if (!LOCAL_DATE_TIME.test(dateTime)) {
    throw badDate(dateTime, 'a local date and time is written like 2027-06-30T14:30, without Z or offset');
  }
  const wall = attempt(
    () => Temporal.PlainDateTime.from(dateTime),
    () => noSuchDay(dateTime),
  );
  return sortable(instantOf(wall.toZonedDateTime(knownZone(zone), { disambiguation: 'compatible' }).epochMilliseconds));
}

/**
 * The first instant after an expiry as printed: a day, a month (to its last day) or a local date and time (GS1 General
 * Specifications AI 17 and 7003 name the date; the end of the local day is common practice).
 * `endOfPrinted('2026-11', 'Europe/Lisbon')` is '2026-12-01T00:00:00.000Z'.
 */
export function endOfPrinted(expiry: string, zone: string): Instant {
  if (DAY.test(expiry)) return endOfDay(expiry, zone);
  if (MONTH.test(expiry)) return endOfMonth(expiry, zone);
  if (LOCAL_DATE_TIME.test(expiry)) return instantOfLocal(expiry, zone);
  throw badDate(expiry, 'an expiry is written like 2026-11-30, 2026-11 or 2026-11-30T14:30');
}

/**
 * The first instant after a life that began at `from`, an ISO 8601 duration: years, months, weeks and days run to the
 * end of the local day that lies so many later (months clip to their last day), hours, minutes and seconds are elapsed
 * time (common practice). `endOfLife('2026-10-20T08:15:00.000Z', 'P30D', 'Europe/Lisbon')` is '2026-11-20T00:00:00.000Z'.
 */
export function endOfLife(from: Instant, life: string, zone: string): Instant {
  const calendar = CALENDAR_LIFE.test(life);
  if (!calendar && !ELAPSED_LIFE.test(life)) {
    throw badLife(life, 'write days and longer like P30D or P1Y6M, hours and shorter like PT8H, and never both in one');
  }
  const span = attempt(
    () => Temporal.Duration.from(life),
    () => badLife(life, 'keep its numbers small and give a fraction to its last part only'),
  );
  const start = local(from, zone);
  if (calendar) {
    const dayAfter = attempt(
      () => start.toPlainDate().add(span).add({ days: 1 }),
      () => badLife(life, 'it reaches past the calendar'),
    );
    return startOf(dayAfter, zone);
  }
  const ms = span.total('milliseconds');
  if (!Number.isSafeInteger(ms) || ms === 0) throw badLife(life, 'it must be a whole number of milliseconds, above 0');
  const end = attempt(
    () => start.toInstant().add(span),
    () => badLife(life, 'it reaches past the calendar'),
  );
  return sortable(instantOf(end.epochMilliseconds));
}

/** The local day on which an instant falls. `localDay('2026-12-01T00:00:00.000Z', 'America/New_York')` is '2026-11-30'. */
export function localDay(at: Instant, zone: string): string {
  return local(at, zone).toPlainDate().toString();
}

/** The ISO 8601 week in which an instant falls locally. `localWeek('2027-01-01T12:00:00.000Z', 'UTC')` is '2026-W53'. */
export function localWeek(at: Instant, zone: string): string {
  const { yearOfWeek, weekOfYear } = local(at, zone);
  return `${String(yearOfWeek).padStart(4, '0')}-W${String(weekOfYear).padStart(2, '0')}`;
}

/** The local month in which an instant falls. `localMonth('2026-12-01T00:00:00.000Z', 'America/New_York')` is '2026-11'. */
export function localMonth(at: Instant, zone: string): string {
  return local(at, zone).toPlainDate().toPlainYearMonth().toString();
}

/** An instant as the wall clock shows it, to the second. `wallTime('2026-12-01T00:00:00.000Z', 'America/New_York')` is '2026-11-30 19:00:00'. */
export function wallTime(at: Instant, zone: string): string {
  return local(at, zone).toPlainDateTime().toString({ smallestUnit: 'second' }).replace('T', ' ');
}

/** The first instant of a local month. `startOfMonth('2026-12', 'America/New_York')` is '2026-12-01T05:00:00.000Z'. */
export function startOfMonth(month: string, zone: string): Instant {
  if (!MONTH.test(month)) throw badDate(month, 'a month is written like 2026-11');
  return startOf(plainDay(`${month}-01`), zone);
}

function local(at: Instant, zone: string): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(epochMs(at)).toZonedDateTimeISO(knownZone(zone));
}

/** The first instant of a local day; for a day that the zone skipped, that of the next one. */
function startOf(day: Temporal.PlainDate, zone: string): Instant {
  return sortable(instantOf(day.toZonedDateTime(knownZone(zone)).epochMilliseconds));
}

function plainDay(day: string): Temporal.PlainDate {
  if (!DAY.test(day)) throw badDate(day, 'a day is written like 2026-11-30');
  return attempt(
    () => Temporal.PlainDate.from(day),
    () => noSuchDay(day),
  );
}

function noSuchDay(text: string): Refusal {
  return badDate(text, 'the calendar has no such day');
}

function badDate(text: string, right: string): Refusal {
  return new Refusal('invalid', 'bad-date', `"${text}" cannot be read as a date; ${right}`);
}

function badLife(life: string, right: string): Refusal {
  return new Refusal('invalid', 'bad-life', `"${life}" is not a life that can be reckoned; ${right}`);
}

/** The library says no with a RangeError in its own words; a refusal says what would be right. */
function attempt<T>(work: () => T, refusal: () => Refusal): T {
  try {
    return work();
  } catch (error) {
    throw error instanceof RangeError ? refusal() : error;
  }
}
