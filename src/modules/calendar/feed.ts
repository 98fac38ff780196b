import ical from 'ical-generator';
import type { CalendarEntry } from '../../core/alerts/calendar.js';
import { plusDays } from '../../core/time/days.js';
import type { Instant } from '../../core/time/instant.js';

/** What a calendar program should know of the feed. */
export interface Feed {
  laboratoryId: string;
  name: string;
  zone: string;
  /** Where people reach the program. */
  origin: string;
  now: Instant;
}

/** Entries as an iCalendar object (RFC 5545): whole days as dates, instants in UTC, each with a UID that stays the same. */
export function calendarFeed(
  entries: readonly CalendarEntry[],
  { laboratoryId, name, zone, origin, now }: Feed,
): string {
  const calendar = ical({
    name: `Stainwright, ${name}`,
    prodId: { company: 'Stainwright', product: 'Stainwright', language: 'EN' },
    ttl: 3600,
  });
  calendar.x('X-WR-TIMEZONE', zone);
  for (const { key, day, at, title, about, path } of entries) {
    calendar.createEvent({
      id: `${key}@${laboratoryId}.stainwright.invalid`,
      stamp: now,
      summary: title,
      description: `${about}\n${origin}${path}`,
      url: `${origin}${path}`,
      ...(at === undefined
        ? {
            start: `${day}T00:00:00.000Z`,
            end: `${plusDays(day ?? '', 1)}T00:00:00.000Z`,
            allDay: true,
            timezone: null,
          }
        : { start: at, end: at }),
    });
  }
  // Every content line ends so, the last one too (section 3.1); the library leaves it off there.
  return `${calendar.toString().trimEnd()}\r\n`;
}
