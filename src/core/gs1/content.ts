import { type ApplicationIdentifier, type Component, named } from './application-identifiers.js';
import { checkDigit, checkPair, endsInCheckDigit, isCset82 } from './check-digit.js';
import { readDate } from './dates.js';
import { Gs1Fault, type Gs1ErrorCode } from './fault.js';

/** A value with its AI as it stood in the text. */
export interface ReadElement {
  ai: ApplicationIdentifier;
  value: string;
  /** Position of the value in the text, counted from 1. */
  at: number;
  /** False when the value ran to the end of the data, so that nothing says that it ends there. */
  closed: boolean;
}

const SETS: Record<Component['set'], { holds: (character: string) => boolean; name: string }> = {
  N: { holds: (c) => /\d/.test(c), name: 'digits' },
  X: { holds: isCset82, name: 'CSET 82: digits, letters and !"%&\'()*+,-./:;<=>?_, no space' },
  Y: { holds: (c) => /[0-9A-Z#/-]/.test(c), name: 'CSET 39: digits, capitals, # - and /' },
  Z: { holds: (c) => /[\w=-]/.test(c), name: 'base64url: digits, letters, - and _' },
};

/** Each says in a sentence what would be right, or nothing when the content is. */
const CHECKS: Record<string, { code: Gs1ErrorCode; fault: (value: string, today: string) => string | undefined }> = {
  check: {
    code: 'GS1_CHECK_DIGIT',
    fault: (v) =>
      endsInCheckDigit(v)
        ? undefined
        : `check digit ${v.slice(-1)} does not fit; after ${v.slice(0, -1)} it would be ${checkDigit(v.slice(0, -1))}`,
  },
  pair: {
    code: 'GS1_CHECK_DIGIT',
    fault: (v) =>
      v.length > 2 && checkPair(v.slice(0, -2)) === v.slice(-2)
        ? undefined
        : `check characters ${v.slice(-2)} do not fit; after ${v.slice(0, -2)} they would be ${checkPair(v.slice(0, -2))}`,
  },
  date: {
    code: 'GS1_DATE',
    fault: (v, today) => {
      const read = readDate(v, today);
      return typeof read === 'string' ? read : undefined;
    },
  },
  day: {
    code: 'GS1_DATE',
    fault: (v, today) => {
      const read = readDate(v, today);
      if (typeof read === 'string') {
        return read;
      }
      return read.precision === 'month' ? 'day 00 is not allowed here; the day of the month is 01 to 31' : undefined;
    },
  },
  'long-day': {
    code: 'GS1_DATE',
    fault: (v) => {
      const read = readDate(v.slice(2), `${v.slice(0, 4)}-01-01`);
      if (typeof read === 'string') {
        return read;
      }
      return read.precision === 'month' ? 'day 00 is not allowed here; the day of the month is 01 to 31' : undefined;
    },
  },
  time: { code: 'GS1_DATE', fault: clock },
  hour: {
    code: 'GS1_DATE',
    fault: (v) => (Number(v) <= 23 ? undefined : `hour ${v} does not exist; hours are 00 to 23`),
  },
  minute: {
    code: 'GS1_DATE',
    fault: (v) => (Number(v) <= 59 ? undefined : `${v} does not exist; it would be 00 to 59`),
  },
  company: rule((v) => /^\d{4}/.test(v), 'it begins with a GS1 company prefix, at least four digits'),
  zero: rule((v) => v === '0', 'this digit is 0'),
  'not-zero': rule((v) => Number(v) > 0, 'it is above zero'),
  'no-leading-zero': rule((v) => v === '0' || !v.startsWith('0'), 'it has no leading zero'),
  'yes-no': rule((v) => v === '0' || v === '1', 'it is 0 (no) or 1 (yes)'),
  winding: rule((v) => /^[019]$/.test(v), 'it is 0, 1 or 9'),
  hyphen: rule((v) => v === '-', 'only a hyphen may follow, for below zero'),
  letter: rule((v) => /\D/.test(v), 'it holds at least one character that is no digit'),
  percent: rule((v) => !/%(?![0-9A-Fa-f]{2})/.test(v), 'each % is followed by two hexadecimal digits'),
  latitude: rule((v) => Number(v) <= 1_800_000_000, 'it is at most 1800000000'),
  longitude: rule((v) => Number(v) <= 3_600_000_000, 'it is at most 3600000000'),
  piece: rule((v) => {
    const [piece, total] = [Number(v.slice(0, 2)), Number(v.slice(2))];
    return piece > 0 && piece <= total;
  }, 'it is the piece and the total, two digits each, the piece from 01 to the total'),
};

/**
 * Judges a value by its AI's components and says how many characters belong to it; the rest is left to the caller.
 * Throws Gs1Fault. Source: GS1 General Specifications, section 3.
 */
export function takeValue(ai: ApplicationIdentifier, text: string, at: number, today: string): number {
  if (text === '') {
    throw new Gs1Fault('GS1_VALUE_EMPTY', at, `${named(ai.ai)} has no value at character ${at}; ${wanted(ai)}.`);
  }
  let taken = 0;
  for (const part of ai.components) {
    const value = text.slice(taken, taken + part.max);
    if (part.optional && value === '') {
      continue;
    }
    const from = at + taken;
    if (value.length < part.min) {
      const message = `${named(ai.ai)} "${text}" at character ${at} is too short; ${wanted(ai)}.`;
      throw new Gs1Fault('GS1_VALUE_SHORT', at, message);
    }
    const set = SETS[part.set];
    const bad = [...value].findIndex((c) => !set.holds(c));
    if (bad >= 0) {
      const found = `${visible([...value][bad] ?? '')} at character ${from + bad}`;
      throw new Gs1Fault('GS1_CHARACTER', from + bad, `${named(ai.ai)} holds ${found}; allowed are ${set.name}.`);
    }
    for (const name of part.checks) {
      const check = CHECKS[name];
      const fault = check?.fault(value, today);
      if (check !== undefined && fault !== undefined) {
        throw new Gs1Fault(check.code, from, `${named(ai.ai)} "${value}" at character ${from}: ${fault}.`);
      }
    }
    taken += value.length;
  }
  return taken;
}

/** As takeValue for a text that is the whole value, as between brackets and in a Digital Link. */
export function checkWholeValue(ai: ApplicationIdentifier, value: string, at: number, today: string): void {
  if (value.length > ai.maxLength || takeValue(ai, value, at, today) < value.length) {
    throw tooLong(ai, value, at);
  }
}

export function tooLong(ai: ApplicationIdentifier, value: string, at: number, hint = ''): Gs1Fault {
  const message = `${named(ai.ai)} "${value}" at character ${at} is too long with ${value.length} characters; ${wanted(ai)}${hint}.`;
  return new Gs1Fault('GS1_VALUE_LONG', at, message);
}

/** What a reader can see of a character that may be a control character. */
export function visible(character: string): string {
  const code = character.codePointAt(0) ?? 0;
  return code > 32 && code < 127 ? `"${character}"` : `the character with code ${code}`;
}

function wanted({ minLength, maxLength }: ApplicationIdentifier): string {
  return minLength === maxLength ? `it has ${minLength} characters` : `it has ${minLength} to ${maxLength} characters`;
}

function clock(hhmm: string): string | undefined {
  return Number(hhmm.slice(0, 2)) <= 23 && Number(hhmm.slice(2)) <= 59
    ? undefined
    : `time ${hhmm} does not exist; HHMM is 0000 to 2359`;
}

function rule(right: (value: string) => boolean, sentence: string): (typeof CHECKS)[string] {
  return { code: 'GS1_CONTENT', fault: (v) => (right(v) ? undefined : sentence) };
}
