import { type Problem, Refusal } from '../refusal.js';
import { type Instant, readInstant } from '../time/instant.js';
import { instantOfLocal } from '../time/zone.js';
import type { Reading } from './excursion.js';
import { celsiusOf } from './place.js';

/** More readings than these in one file are split: one a minute for a month is less. */
export const MOST_READINGS = 50_000;

/** What a file of temperatures says, and every row of it that says nothing that can be taken. */
export interface TemperatureFile {
  /** In the order of their instants, those known already left out. */
  readings: Reading[];
  /** Rows that repeat what is known. */
  repeated: number;
  /** By row, counted from 1 with the line of names. */
  problems: Problem[];
}

const TIME = 'time';
const TEMPERATURE = 'temperature';
const UNIT = 'unit';
const COLUMNS = [TIME, TEMPERATURE, UNIT];

/**
 * Reads the rows of a logger's file: a line of names (time, temperature and, where it is not Celsius, unit), then a reading a
 * row. A time is an instant with its offset, or local time in the laboratory's zone; a unit is a UCUM code. `known` holds the
 * readings of the place already there: the same time with another temperature is a fault, the same reading is repeated.
 */
export function readTemperatureRows(
  rows: readonly (readonly string[])[],
  { zone, now, known }: { zone: string; now: Instant; known: readonly Reading[] },
): TemperatureFile {
  const [header = [], ...body] = rows;
  const names = header.map((name) => name.trim().toLowerCase());
  const fault = headerFault(names);
  if (fault !== null) return { readings: [], repeated: 0, problems: [{ at: 'row 1', message: fault }] };
  if (body.length > MOST_READINGS) {
    const message = `the file has ${body.length} rows; at most ${MOST_READINGS} are taken at once: split it and send the parts one after the other`;
    return { readings: [], repeated: 0, problems: [{ at: '', message }] };
  }
  if (body.length === 0) {
    return {
      readings: [],
      repeated: 0,
      problems: [{ at: 'row 2', message: 'the file holds no reading; give one a row' }],
    };
  }
  const before = new Map(known.map(({ at, celsius }) => [at, celsius]));
  const taken = new Map<Instant, Reading>();
  const problems: Problem[] = [];
  let repeated = 0;
  for (const [n, row] of body.entries()) {
    const cell = (name: string): string => (row[names.indexOf(name)] ?? '').trim();
    const number = n + 2;
    const place = (column: string): string => `row ${number}, ${column}`;
    const reading = readRow(cell, place, zone, now);
    if ('message' in reading) {
      problems.push(reading);
      continue;
    }
    const other = before.get(reading.at) ?? taken.get(reading.at)?.celsius;
    if (other === undefined) taken.set(reading.at, reading);
    else if (other === reading.celsius) repeated += 1;
    else {
      const message = `${cell(TIME)} has the reading ${other} °C already, and this one is ${reading.celsius} °C; keep the right one`;
      problems.push({ at: place(TEMPERATURE), message });
    }
  }
  const readings = [...taken.values()].sort((a, b) => (a.at < b.at ? -1 : 1));
  return { readings, repeated, problems };
}

function headerFault(names: readonly string[]): string | null {
  const right = `the first row names the columns: ${TIME}, ${TEMPERATURE} and, unless it is Cel, ${UNIT}`;
  const missing = [TIME, TEMPERATURE].filter((name) => !names.includes(name));
  if (missing.length > 0) return `no column is called ${missing.join(' or ')}; ${right}`;
  const twice = COLUMNS.find((name) => names.indexOf(name) !== names.lastIndexOf(name));
  return twice === undefined ? null : `two columns are called ${twice}; ${right}`;
}

function readRow(
  cell: (name: string) => string,
  place: (column: string) => string,
  zone: string,
  now: Instant,
): Reading | Problem {
  const figure = cell(TEMPERATURE);
  if (!/^[+-]?\d+(\.\d+)?$/.test(figure)) {
    const comma = /^[+-]?\d+,\d+$/.test(figure)
      ? `; write ${figure.replace(',', '.')}`
      : '; write a number such as 4.5';
    return { at: place(TEMPERATURE), message: `"${figure}" is no number${comma}` };
  }
  let at: Instant;
  try {
    at = instantIn(cell(TIME), zone);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { at: place(TIME), message: error.message };
  }
  if (at > now) return { at: place(TIME), message: `${at} lies in the future; it is ${now} now` };
  try {
    return { at, celsius: celsiusOf({ value: Number(figure), unit: cell(UNIT) || 'Cel' }, place(UNIT)) };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { at: place(cell(UNIT) === '' ? TEMPERATURE : UNIT), message: error.message };
  }
}

/** An instant with its offset, or a local date and time with a T or a space. */
function instantIn(text: string, zone: string): Instant {
  const written = text.replace(' ', 'T');
  return /(Z|[+-]\d\d:?\d\d)$/.test(written) ? readInstant(written) : instantOfLocal(written, zone);
}
