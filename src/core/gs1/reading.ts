import { checkAssociations } from './associations.js';
import { type ReadElement } from './content.js';
import { readDate } from './dates.js';
import { Gs1Fault, type Gs1Error } from './fault.js';
import { warningsOf, type Gs1Warning } from './warnings.js';

export interface Gs1Element {
  ai: string;
  value: string;
}

/** What was read. A warning never changes the elements; what it says must be seen by a person. */
export interface Gs1Contents {
  valid: true;
  elements: Gs1Element[];
  /** 14 digits; from (01), or from a retail bar code, which has no elements. */
  gtin?: string;
  lot?: string;
  serial?: string;
  /** ISO 8601: a day, '2027-06-30', or a minute on the laboratory's own wall clock, '2027-06-30T14:30'. */
  expiry?: string;
  /** The expiry as it is encoded, and how precise that is. */
  expiryPrinted?: { ai: '17' | '7003'; text: string; precision: 'month' | 'day' | 'minute' };
  warnings: Gs1Warning[];
}

export type Gs1Reading = Gs1Contents | { valid: false; error: Gs1Error };

/** What a parser took out of a text. */
export interface Parsed {
  elements: ReadElement[];
  /** The number that a retail bar code carries outside of element strings. */
  retailGtin?: string;
  warnings?: Gs1Warning[];
}

/** Runs a parser, judges what belongs together and gathers what it means; `today` is an ISO date. Never throws for text. */
export function reading(today: string, parse: () => Parsed): Gs1Reading {
  try {
    const { elements, retailGtin, warnings = [] } = parse();
    checkAssociations(elements, retailGtin === undefined ? [] : ['01']);
    const value = (ai: string) => elements.find((e) => e.ai.ai === ai)?.value;
    const gtin = value('01') ?? retailGtin;
    const [lot, serial, expiry] = [value('10'), value('21'), expiryOf(value('17'), value('7003'), today)];
    return {
      valid: true,
      elements: elements.map((e) => ({ ai: e.ai.ai, value: e.value })),
      ...(gtin !== undefined && { gtin }),
      ...(lot !== undefined && { lot }),
      ...(serial !== undefined && { serial }),
      ...expiry,
      warnings: [...warnings, ...warningsOf(elements, today)],
    };
  } catch (fault) {
    if (fault instanceof Gs1Fault) {
      return { valid: false, error: { code: fault.code, message: fault.message, at: fault.at } };
    }
    throw fault;
  }
}

/** The earlier of the two when both are given: (17) holds to the end of its day, (7003) to its minute. */
function expiryOf(day: string | undefined, minute: string | undefined, today: string): Partial<Gs1Contents> {
  const byDay = day === undefined ? undefined : readDate(day, today);
  const byMinute = minute === undefined ? undefined : readDate(minute.slice(0, 6), today);
  const ends = typeof byDay === 'object' ? byDay.date : undefined;
  if (minute !== undefined && typeof byMinute === 'object' && (ends === undefined || byMinute.date <= ends)) {
    const expiry = `${byMinute.date}T${minute.slice(6, 8)}:${minute.slice(8, 10)}`;
    return { expiry, expiryPrinted: { ai: '7003', text: minute, precision: 'minute' } };
  }
  if (day !== undefined && typeof byDay === 'object') {
    return { expiry: byDay.date, expiryPrinted: { ai: '17', text: day, precision: byDay.precision } };
  }
  return {};
}
