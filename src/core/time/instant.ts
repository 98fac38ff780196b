import { Refusal } from '../refusal.js';

/** A point on the UTC time line as ISO 8601 text with milliseconds and Z, so that text order is time order. */
export type Instant = string;

/** Milliseconds since 1970-01-01T00:00Z of an instant; throws RangeError for text that is none. `epochMs('1970-01-01T00:00:01.000Z')` is 1000. */
export function epochMs(at: Instant): number {
  const written = writtenMs(at);
  if (written !== null) return written;
  const ms = Date.parse(at);
  if (Number.isNaN(ms)) {
    throw new RangeError(`"${at}" is not an instant; write it like 2026-11-25T09:08:17.000Z`);
  }
  return ms;
}

/**
 * Of text in the form in which instants are written, on a day that every month has; null for all other, which the engine
 * reads. The gate compares so many instants that the engine's own way is felt.
 */
function writtenMs(at: string): number | null {
  if (at.length !== 24) return null;
  const digit = (place: number): number => {
    const value = at.charCodeAt(place) - 48;
    return value >= 0 && value <= 9 ? value : Number.NaN;
  };
  const two = (place: number): number => digit(place) * 10 + digit(place + 1);
  const [month, day, hour, minute, second] = [two(5), two(8), two(11), two(14), two(17)];
  const whole =
    at.charCodeAt(4) === DASH &&
    at.charCodeAt(7) === DASH &&
    at.charCodeAt(10) === T &&
    at.charCodeAt(13) === COLON &&
    at.charCodeAt(16) === COLON &&
    at.charCodeAt(19) === DOT &&
    at.charCodeAt(23) === Z &&
    month >= 1 &&
    month <= 12 &&
    day >= 1 &&
    day <= 28 &&
    hour <= 23 &&
    minute <= 59 &&
    second <= 59;
  if (!whole) return null;
  const year = two(0) * 100 + two(2);
  // Date.UTC takes years below 100 for those of the last century.
  const ms = year < 100 ? Number.NaN : Date.UTC(year, month - 1, day, hour, minute, second, two(20) * 10 + digit(22));
  return Number.isNaN(ms) ? null : ms;
}

const [DASH, T, COLON, DOT, Z] = [45, 84, 58, 46, 90];

/** Whether a value is an instant as the program writes it, on a day and at a time that exist. `isInstant('2026-02-30T09:00:00.000Z')` is false. */
export function isInstant(value: unknown): value is Instant {
  const ms = typeof value === 'string' && value.length === 24 ? Date.parse(value) : Number.NaN;
  // The engine rolls 30 February over to March and reads 24:00; what comes back must be what went in.
  return !Number.isNaN(ms) && instantOf(ms) === value;
}

/** The instant that many milliseconds after 1970-01-01T00:00Z. `instantOf(1000)` is '1970-01-01T00:00:01.000Z'. */
export function instantOf(ms: number): Instant {
  return new Date(ms).toISOString();
}

/** The instant `ms` milliseconds after `at` (before it when negative). */
export function plusMs(at: Instant, ms: number): Instant {
  return instantOf(epochMs(at) + ms);
}

const RFC_3339 = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,3})?(?:Z|[+-][01]\d:[0-5]\d)$/;

/**
 * The instant that a text from outside names, in the one form that sorts as time; refuses days and times that do not
 * exist and text without Z or offset (RFC 3339). `readInstant('2026-11-25T10:08:17+01:00')` is
 * '2026-11-25T09:08:17.000Z'.
 */
export function readInstant(text: string): Instant {
  const wall = text.slice(0, 19);
  if (!RFC_3339.test(text) || !isInstant(`${wall}.000Z`)) {
    throw new Refusal(
      'invalid',
      'bad-instant',
      `"${text}" is not an instant; write an existing date and time with Z or an offset, like 2026-11-25T09:08:17.000Z`,
    );
  }
  return sortable(instantOf(Date.parse(text)));
}

/** Refuses an instant outside the years 0000 to 9999, whose text would no longer sort as time. */
export function sortable(at: Instant): Instant {
  if (at.length !== 24) {
    throw new Refusal('invalid', 'out-of-range', `${at} lies outside the years 0000 to 9999; give an earlier date`);
  }
  return at;
}
