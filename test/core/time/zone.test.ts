import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { instantOf } from '../../../src/core/time/instant.js';
import {
  endOfDay,
  endOfLife,
  endOfMonth,
  endOfPrinted,
  instantOfLocal,
  knownZone,
  localDay,
  localMonth,
  localWeek,
} from '../../../src/core/time/zone.js';

const refusal = (code: string, message: RegExp = /./) =>
  expect.objectContaining({ code, message: expect.stringMatching(message) });

describe('the end of a local day', () => {
  // IANA time zone database: Cuba springs forward at 00:00, so that 8 March 2026 begins at 01:00 (UTC-4).
  it('is where the next one begins, even at 01:00', () => {
    expect(endOfDay('2026-03-07', 'America/Havana')).toBe('2026-03-08T05:00:00.000Z');
  });

  // IANA time zone database: Samoa crossed the date line and had no 30 December 2011.
  it('passes over a day that the zone skipped', () => {
    expect(endOfDay('2011-12-29', 'Pacific/Apia')).toBe('2011-12-30T10:00:00.000Z');
    expect(endOfDay('2011-12-30', 'Pacific/Apia')).toBe('2011-12-30T10:00:00.000Z');
    expect(endOfDay('2011-12-31', 'Pacific/Apia')).toBe('2011-12-31T10:00:00.000Z');
  });

  // IANA time zone database: summer time in the European Union changes at 01:00 UTC on the last Sundays of March and October.
  it('makes a day of 23 and one of 25 hours', () => {
    const hours = (from: string, to: string) =>
      (Date.parse(endOfDay(to, 'Europe/Lisbon')) - Date.parse(endOfDay(from, 'Europe/Lisbon'))) / 3_600_000;
    expect(hours('2026-03-28', '2026-03-29')).toBe(23);
    expect(hours('2026-10-24', '2026-10-25')).toBe(25);
  });

  // The platform's own calendar, asked minute by minute, is the witness here.
  it.each(['Africa/Cairo', 'America/Havana', 'America/St_Johns', 'America/Santiago', 'Pacific/Apia', 'Asia/Kathmandu'])(
    'is the first instant of a later date on every day of 2011 and 2026 in %s',
    (zone) => {
      const format = new Intl.DateTimeFormat('en-CA', { timeZone: zone, dateStyle: 'short' });
      const minute = 60_000;
      for (const year of [2011, 2026]) {
        let day = format.format(Date.UTC(year, 0, 1));
        for (let ms = Date.UTC(year, 0, 1); ms < Date.UTC(year, 11, 31); ms += 60 * minute) {
          if (format.format(ms) <= day) continue;
          let first = ms;
          while (format.format(first - minute) > day) first -= minute;
          expect([zone, day, endOfDay(day, zone)]).toEqual([zone, day, instantOf(first)]);
          day = format.format(ms);
        }
      }
    },
  );
});

describe('an expiry as printed', () => {
  it('runs to the end of a month, leap years included', () => {
    expect(endOfMonth('2028-02', 'UTC')).toBe('2028-03-01T00:00:00.000Z');
    expect(endOfMonth('2100-02', 'UTC')).toBe('2100-03-01T00:00:00.000Z');
    expect(endOfMonth('2026-12', 'Pacific/Chatham')).toBe('2026-12-31T10:15:00.000Z');
  });

  // RFC 5545 section 3.3.5 gives these two examples: 02:30 is skipped and means 03:30 EDT, 01:30 comes twice and means the first.
  it('reads a skipped wall time with the offset before the gap and a repeated one as the first', () => {
    expect(instantOfLocal('2007-03-11T02:30:00', 'America/New_York')).toBe('2007-03-11T07:30:00.000Z');
    expect(instantOfLocal('2007-11-04T01:30:00', 'America/New_York')).toBe('2007-11-04T05:30:00.000Z');
  });

  // ISO 8601 calendar forms: YYYY-MM-DD, YYYY-MM, and date and time with minutes, seconds or fractions.
  it.each([
    ['2026-11-30', '2026-12-01T00:00:00.000Z'],
    ['2026-11', '2026-12-01T00:00:00.000Z'],
    ['2026-11-30T14:30', '2026-11-30T14:30:00.000Z'],
    ['2026-11-30T14:30:05', '2026-11-30T14:30:05.000Z'],
    ['2026-11-30T14:30:05.25', '2026-11-30T14:30:05.250Z'],
  ])('may be written %s', (printed, until) => {
    expect(endOfPrinted(printed, 'UTC')).toBe(until);
  });

  it.each([
    '2026-02-29',
    '2026-13',
    '2026-11-31T10:00',
    '2026-11-30T24:00',
    '2026-11-30T10:60',
    '2026-11-30T10:00:60',
    '2026-11-30T10:00Z',
    '2026-11-30T10:00+01:00',
    '26-11-30',
    '20261130',
    '30/11/2026',
    '2026-11-00',
    '2026-W48',
    '',
  ])('is refused as %p', (printed) => {
    expect(() => endOfPrinted(printed, 'Europe/Lisbon')).toThrow(refusal('bad-date', /written like|no such day/));
  });

  it('is refused by each form for what is another', () => {
    expect(() => endOfDay('2026-11', 'UTC')).toThrow(refusal('bad-date', /2026-11-30/));
    expect(() => endOfMonth('2026-11-30', 'UTC')).toThrow(refusal('bad-date', /2026-11/));
    expect(() => instantOfLocal('2026-11-30', 'UTC')).toThrow(refusal('bad-date', /T14:30/));
  });

  it('is refused where its end would leave the years that sort as text', () => {
    expect(() => endOfDay('9999-12-31', 'UTC')).toThrow(refusal('out-of-range'));
  });
});

describe('a time zone', () => {
  it.each(['Europe/Lisbon', 'America/Argentina/Buenos_Aires', 'America/Port-au-Prince', 'Etc/GMT+5', 'UTC'])(
    'may be %s',
    (zone) => {
      expect(knownZone(zone)).toBe(zone);
    },
  );

  it.each(['Outer/Quill', '+01:00', '2026-11-25[Europe/Lisbon]', 'Europe/Lisbon ', 'Lisbon', ''])(
    'cannot be %p',
    (zone) => {
      const right = refusal('unknown-zone', /IANA name such as/);
      expect(() => endOfDay('2026-11-30', zone)).toThrow(right);
      expect(() => endOfLife('2026-11-25T08:00:00.000Z', 'PT8H', zone)).toThrow(right);
      expect(() => localDay('2026-11-25T08:00:00.000Z', zone)).toThrow(right);
    },
  );
});

describe('a life', () => {
  const opened = '2026-01-31T23:30:00.000Z';

  // ISO 8601 durations; in Kathmandu (UTC+05:45) this instant falls on 1 February.
  it.each([
    ['P0D', '2026-02-01T18:15:00.000Z'],
    ['P1D', '2026-02-02T18:15:00.000Z'],
    ['P2W', '2026-02-15T18:15:00.000Z'],
    ['P1M', '2026-03-01T18:15:00.000Z'],
    ['P1Y', '2027-02-01T18:15:00.000Z'],
    ['P1Y6M', '2027-08-01T18:15:00.000Z'],
    ['P1Y1M1W1D', '2027-03-09T18:15:00.000Z'],
    ['PT8H', '2026-02-01T07:30:00.000Z'],
    ['PT90M', '2026-02-01T01:00:00.000Z'],
    ['PT1H30M', '2026-02-01T01:00:00.000Z'],
    ['PT1.5H', '2026-02-01T01:00:00.000Z'],
    ['PT1,5H', '2026-02-01T01:00:00.000Z'],
    ['PT45S', '2026-01-31T23:30:45.000Z'],
  ])('of %s', (life, until) => {
    expect(endOfLife(opened, life, 'Asia/Kathmandu')).toBe(until);
  });

  it('in months clips to the last day, in leap years too', () => {
    expect(endOfLife('2026-08-31T12:00:00.000Z', 'P6M', 'UTC')).toBe('2027-03-01T00:00:00.000Z');
    expect(endOfLife('2027-08-31T12:00:00.000Z', 'P6M', 'UTC')).toBe('2028-03-01T00:00:00.000Z');
    expect(endOfLife('2028-02-29T12:00:00.000Z', 'P1Y', 'UTC')).toBe('2029-03-01T00:00:00.000Z');
  });

  // Hours are elapsed and days end with the day: common practice, no source. Summer time began on 29 March 2026 (IANA).
  it('in hours is elapsed time over the change to summer time, in days the calendar', () => {
    const dusk = '2026-03-28T20:00:00.000Z';
    expect(endOfLife(dusk, 'PT24H', 'Europe/Lisbon')).toBe('2026-03-29T20:00:00.000Z');
    expect(endOfLife(dusk, 'P1D', 'Europe/Lisbon')).toBe('2026-03-29T23:00:00.000Z');
  });

  it.each([
    'P1DT12H',
    'P',
    'PT',
    'P1YT',
    '-P1D',
    '+P1D',
    'p1d',
    'P1.5D',
    'PT1.5H30M',
    'PT0H',
    'PT0.0001S',
    'P30',
    '30 days',
    'P1D1M',
    'P99999999Y',
    'P300000Y',
    'PT99999999999999999999H',
    '',
  ])('is refused as %p', (life) => {
    expect(() => endOfLife(opened, life, 'UTC')).toThrow(refusal('bad-life', /write days|keep|reaches|whole number/));
  });

  it('is refused past the years that sort as text', () => {
    expect(() => endOfLife(opened, 'P8000Y', 'UTC')).toThrow(refusal('out-of-range'));
    expect(() => endOfLife(opened, 'PT80000000H', 'UTC')).toThrow(refusal('out-of-range'));
  });
});

describe('the local day, week and month of an instant', () => {
  it('are those of the zone', () => {
    expect(localDay('2026-12-01T00:00:00.000Z', 'America/New_York')).toBe('2026-11-30');
    expect(localMonth('2026-12-01T00:00:00.000Z', 'America/New_York')).toBe('2026-11');
    expect(localDay('2011-12-30T09:59:59.999Z', 'Pacific/Apia')).toBe('2011-12-29');
    expect(localDay('2011-12-30T10:00:00.000Z', 'Pacific/Apia')).toBe('2011-12-31');
  });

  // ISO 8601 week dates, the standard's usual examples, from memory: week 1 holds the year's first Thursday.
  it.each([
    ['2005-01-01', '2004-W53'],
    ['2005-01-02', '2004-W53'],
    ['2005-12-31', '2005-W52'],
    ['2007-01-01', '2007-W01'],
    ['2008-12-28', '2008-W52'],
    ['2008-12-29', '2009-W01'],
    ['2010-01-03', '2009-W53'],
    ['2010-01-04', '2010-W01'],
  ])('put %s into week %s', (day, week) => {
    expect(localWeek(`${day}T12:00:00.000Z`, 'UTC')).toBe(week);
  });

  it('begin the week at the local midnight', () => {
    expect(localWeek('2026-11-29T23:59:59.999Z', 'Europe/Lisbon')).toBe('2026-W48');
    expect(localWeek('2026-11-30T00:00:00.000Z', 'Europe/Lisbon')).toBe('2026-W49');
    expect(localWeek('2026-11-30T00:00:00.000Z', 'America/New_York')).toBe('2026-W48');
  });
});

describe('any day in any zone', () => {
  const zones = fc.constantFrom('Europe/Lisbon', 'Africa/Cairo', 'America/Havana', 'Pacific/Apia', 'Asia/Kathmandu');
  const instants = fc.integer({ min: Date.UTC(1990, 0, 1), max: Date.UTC(2040, 0, 1) }).map(instantOf);

  it('holds the instant and ends with the first that belongs to a later one', () => {
    fc.assert(
      fc.property(instants, zones, (at, zone) => {
        const day = localDay(at, zone);
        const end = endOfDay(day, zone);
        expect(at < end).toBe(true);
        expect(localDay(end, zone) > day).toBe(true);
        expect(localDay(instantOf(Date.parse(end) - 1), zone)).toBe(day);
      }),
    );
  });

  it('never ends earlier for a later date', () => {
    fc.assert(
      fc.property(instants, instants, zones, (one, other, zone) => {
        const [earlier, later] = [localDay(one, zone), localDay(other, zone)].sort() as [string, string];
        expect(endOfPrinted(earlier, zone) <= endOfPrinted(later, zone)).toBe(true);
        expect(endOfPrinted(earlier, zone) <= endOfPrinted(earlier.slice(0, 7), zone)).toBe(true);
      }),
    );
  });

  it('never ends a longer life earlier', () => {
    fc.assert(
      fc.property(instants, zones, fc.nat(400), fc.nat(400), fc.constantFrom('D', 'W', 'M'), (at, zone, a, b, unit) => {
        const shorter = endOfLife(at, `P${a}${unit}`, zone);
        expect(shorter > at).toBe(true);
        expect(shorter <= endOfLife(at, `P${a + b}${unit}`, zone)).toBe(true);
      }),
    );
  });
});
