import { named } from './application-identifiers.js';
import { endsInCheckDigit } from './check-digit.js';
import { type ReadElement } from './content.js';
import { type Gs1Date, readDate } from './dates.js';

/** Something that is no error and yet must be looked at, in a sentence. */
export interface Gs1Warning {
  code: Gs1WarningCode;
  message: string;
}

export type Gs1WarningCode =
  | 'GS1_DAY_ZERO'
  | 'GS1_SEPARATOR_LOST'
  | 'GS1_SEPARATOR_DOUBTFUL'
  | 'GS1_BEST_BEFORE_ONLY'
  | 'GS1_LOCAL_TIME'
  | 'GS1_TWO_EXPIRIES'
  | 'GS1_DATES_OUT_OF_ORDER'
  | 'GS1_EXPIRY_FAR'
  | 'GS1_GTIN_ONLY'
  | 'GS1_NO_GS1_DATA'
  | 'GS1_NO_SYMBOLOGY_IDENTIFIER';

/** Beyond this distance a two-digit year is more likely misprinted than meant: common practice, no source. */
const PLAUSIBLE_YEARS = 20;

/** All that a person should look at in elements that are valid by themselves; `today` is an ISO date. */
export function warningsOf(elements: readonly ReadElement[], today: string): Gs1Warning[] {
  return [...elements.flatMap((e) => swallowed(e, elements, today)), ...dateWarnings(elements, today)];
}

/** Elements that a value may have swallowed when the separator after it was not sent: how each is recognised. */
const SWALLOWED: { ai: string; length: number; reads: (value: string, today: string) => string | undefined }[] = [
  { ai: '17', length: 6, reads: dateText },
  {
    ai: '7003',
    length: 10,
    reads: (v, today) => (/^([01]\d|2[0-3])[0-5]\d$/.test(v.slice(6)) ? dateText(v.slice(0, 6), today) : undefined),
  },
  { ai: '15', length: 6, reads: dateText },
  { ai: '11', length: 6, reads: dateText },
  { ai: '13', length: 6, reads: dateText },
  { ai: '16', length: 6, reads: dateText },
  { ai: '01', length: 14, reads: (v) => (endsInCheckDigit(v) ? v : undefined) },
];

/**
 * A lost separator makes one value out of two elements, and nothing in the data proves it. So a value that holds what
 * reads as a further element that was not read otherwise gets a warning, and is never cut: the person decides by the
 * print. A lot that may end in a serial, or a serial in a lot, is a weaker sign and only asked of a value that ran to
 * the end of the data.
 */
function swallowed({ ai, value, closed }: ReadElement, all: readonly ReadElement[], today: string): Gs1Warning[] {
  if (ai.predefined || ai.components.at(-1)?.set !== 'X') {
    return [];
  }
  const wasRead = (number: string) => all.some((e) => e.ai.ai === number);
  for (const { ai: number, length, reads } of SWALLOWED.filter((s) => !wasRead(s.ai))) {
    for (let i = value.indexOf(number, 1); i > 0; i = value.indexOf(number, i + 1)) {
      const candidate = value.slice(i + number.length, i + number.length + length);
      const read = candidate.length === length ? reads(candidate, today) : undefined;
      if (read !== undefined) {
        return [
          {
            code: 'GS1_SEPARATOR_LOST',
            message: `${named(ai.ai)} "${value}" holds ${number}${candidate}, which reads as ${named(number)} ${read}, and no ${named(number)} was read: the separator after it may be lost. Compare with the print; it may be "${value.slice(0, i)}".`,
          },
        ];
      }
    }
  }
  const partner = ({ '10': '21', '21': '10' } as Record<string, string>)[ai.ai];
  const tail = partner === undefined || closed || wasRead(partner) ? -1 : value.indexOf(partner, 1);
  if (partner !== undefined && tail > 0 && value.length - tail >= partner.length + 3) {
    return [
      {
        code: 'GS1_SEPARATOR_DOUBTFUL',
        message: `${named(ai.ai)} "${value}" runs to the end of the data and holds ${partner}, with which a ${named(partner)} would begin: the separator may be lost. Compare with the print; it may be "${value.slice(0, tail)}" and "${value.slice(tail + partner.length)}".`,
      },
    ];
  }
  return [];
}

function dateText(yymmdd: string, today: string): string | undefined {
  const read = readDate(yymmdd, today);
  return typeof read === 'string' ? undefined : read.date;
}

function dateWarnings(elements: readonly ReadElement[], today: string): Gs1Warning[] {
  const warnings: Gs1Warning[] = [];
  const dates = new Map<string, Gs1Date>();
  for (const { ai, value } of elements) {
    const read = ai.components[0]?.checks.some((c) => c === 'date' || c === 'day')
      ? readDate(value.slice(0, 6), today)
      : '';
    if (typeof read !== 'string' && !dates.has(ai.ai)) {
      dates.set(ai.ai, read);
      if (read.precision === 'month') {
        const message = `${named(ai.ai)} ${value} has day 00 and is taken as the month's last day, ${read.date}; since 2025-01-01 a healthcare product must name the day.`;
        warnings.push({ code: 'GS1_DAY_ZERO', message });
      }
    }
  }
  const day = dates.get('17')?.date;
  const minute = dates.get('7003')?.date;
  const bestBefore = dates.get('15')?.date;
  const expiry = minute !== undefined && (day === undefined || minute < day) ? minute : day;
  const made = dates.get('11')?.date;
  if (minute !== undefined) {
    const message = `${named('7003')} ${minute} has a time of day without a zone; it is taken as the laboratory's own wall clock.`;
    warnings.push({ code: 'GS1_LOCAL_TIME', message });
  }
  if (minute !== undefined && day !== undefined && minute !== day) {
    const message = `${named('17')} says ${day} and ${named('7003')} says ${minute}; the earlier one is taken. Compare with the print.`;
    warnings.push({ code: 'GS1_TWO_EXPIRIES', message });
  }
  if (expiry === undefined && bestBefore !== undefined) {
    const message = `${named('15')} ${bestBefore} is a date of quality and not ${named('17')}; no expiry was read. Key in the expiry from the print, or set one by the laboratory's policy.`;
    warnings.push({ code: 'GS1_BEST_BEFORE_ONLY', message });
  }
  if (expiry !== undefined && made !== undefined && made > expiry) {
    const message = `${named('11')} ${made} lies after the expiry ${expiry}; one of them is wrong. Compare with the print.`;
    warnings.push({ code: 'GS1_DATES_OUT_OF_ORDER', message });
  }
  if (expiry !== undefined && Math.abs(Number(expiry.slice(0, 4)) - Number(today.slice(0, 4))) > PLAUSIBLE_YEARS) {
    const message = `The expiry ${expiry} lies more than ${PLAUSIBLE_YEARS} years from today; two digits of a year cannot say which century is meant. Compare with the print.`;
    warnings.push({ code: 'GS1_EXPIRY_FAR', message });
  }
  return warnings;
}
