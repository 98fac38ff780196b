/** A date read from six digits: the day it stands for, and whether the print named that day or only its month. */
export interface Gs1Date {
  /** ISO 8601 calendar date. */
  date: string;
  precision: 'day' | 'month';
}

/**
 * The full year of a two-digit one, at most 49 years back and 50 ahead of `today` (an ISO date). Source: GS1 General
 * Specifications, section 7.12. `fullYear(76, '2026-11-25')` is 2076, `fullYear(77, '2026-11-25')` is 1977.
 */
export function fullYear(yy: number, today: string): number {
  const year = Number(today.slice(0, 4));
  const difference = yy - (year % 100);
  const century = year - (year % 100) + (difference >= 51 ? -100 : difference <= -50 ? 100 : 0);
  return century + yy;
}

/** The number of days of a month (1 to 12), by the Gregorian calendar. `daysInMonth(2028, 2)` is 29. */
export function daysInMonth(year: number, month: number): number {
  if (month === 2) {
    return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : 28;
  }
  return [4, 6, 9, 11].includes(month) ? 30 : 31;
}

/**
 * Reads YYMMDD, where day 00 stands for the last day of the month. Gives the date, or a sentence that says what would
 * be right. Source: GS1 General Specifications, sections 3.4 and 7.12. `readDate('280200', '2026-11-25')` is
 * `{ date: '2028-02-29', precision: 'month' }`.
 */
export function readDate(yymmdd: string, today: string): Gs1Date | string {
  if (!/^\d{6}$/.test(yymmdd)) {
    return `"${yymmdd}" is not six digits YYMMDD`;
  }
  const year = fullYear(Number(yymmdd.slice(0, 2)), today);
  const month = Number(yymmdd.slice(2, 4));
  const day = Number(yymmdd.slice(4, 6));
  if (month < 1 || month > 12) {
    return `month ${yymmdd.slice(2, 4)} does not exist; YYMMDD has months 01 to 12`;
  }
  const days = daysInMonth(year, month);
  if (day > days) {
    return `day ${yymmdd.slice(4, 6)} does not exist; ${year}-${pad(month)} has ${days} days`;
  }
  return { date: `${year}-${pad(month)}-${pad(day === 0 ? days : day)}`, precision: day === 0 ? 'month' : 'day' };
}

function pad(n: number): string {
  return String(n).padStart(2, '0');
}

/** Whether a text is an ISO 8601 calendar date that exists. `isCalendarDate('2027-02-29')` is false. */
export function isCalendarDate(text: string): boolean {
  const [, year, month, day] = /^(\d{4})-(\d\d)-(\d\d)$/.exec(text)?.map(Number) ?? [];
  return (
    year !== undefined &&
    month !== undefined &&
    day !== undefined &&
    month >= 1 &&
    month <= 12 &&
    day >= 1 &&
    day <= daysInMonth(year, month)
  );
}
