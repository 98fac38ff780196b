import type { EntityMetadata } from 'typeorm';
import { canonicalText } from '../../core/record/record.js';
import { plainNumbers } from '../../core/record/scan.js';

/** A row as the database's driver gives it, by the names of its columns. */
export type RawRow = Record<string, unknown>;

type Encode = (value: unknown) => string;

interface Column {
  property: string;
  /** Its name with a colon, as it stands in JSON. */
  key: string;
  stored: string;
  encode: Encode;
}

const ENCODE: Record<string, Encode> = {
  boolean: (value) => (value === true || value === 1 ? 'true' : 'false'),
  'simple-json': (value) => canonicalOf(String(value)),
};

/**
 * Writes the rows of a table as text without making objects of them: a line is the RFC 8785 form of the columns that hold a
 * value, by property name, so that its SHA-256 is the hash that the chain names.
 */
export class RowText {
  /** In the order of RFC 8785. */
  private readonly sorted: Column[];
  private readonly csv: Column[];
  /** What to select, in SQL. */
  readonly columns: string;

  constructor(table: EntityMetadata) {
    const columns = table.columns.map(({ propertyName, databaseName, type }): Column => ({
      property: propertyName,
      key: `${JSON.stringify(propertyName)}:`,
      stored: databaseName,
      encode: ENCODE[String(type)] ?? ((value) => JSON.stringify(value)),
    }));
    this.sorted = [...columns].sort((a, b) => (a.property < b.property ? -1 : 1));
    this.csv = columns.filter(({ property }) => property !== 'laboratoryId');
    this.columns = columns.map(({ stored }) => `t."${stored}"`).join(', ');
  }

  /** One line of JSON, without its end. */
  line(row: RawRow): string {
    let text = '';
    for (const { key, stored, encode } of this.sorted) {
      const value = row[stored];
      if (value === null || value === undefined) continue;
      text += `${text === '' ? '{' : ','}${key}${encode(value)}`;
    }
    return `${text}}`;
  }

  csvHeader(): string {
    return csvLine(this.csv.map(({ property }) => property));
  }

  csvLine(row: RawRow): string {
    return csvLine(this.csv.map(({ stored, encode }) => csvValue(row[stored], encode)));
  }
}

function csvValue(value: unknown, encode: Encode): string {
  if (value === null || value === undefined) return '';
  return typeof value === 'string' && !ENCODE_JSON.has(encode) ? value : encode(value);
}

const ENCODE_JSON = new Set<Encode>([ENCODE['simple-json'] as Encode]);

/** A line of CSV (RFC 4180); what a spreadsheet would take for a formula is made text. */
export function csvLine(values: readonly string[]): string {
  return `${values.map(csvField).join(',')}\r\n`;
}

function csvField(value: string): string {
  const safe = /^[=+\-@\t]/.test(value) && !/^-?\d+(\.\d+)?(e[+-]?\d+)?$/i.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** What was spoiled is written as the text that it is: its hash then shows it. */
function canonicalOf(json: string): string {
  // Most is in that form already, which shows faster than it is made.
  if (plainNumbers(json) !== null) return json;
  try {
    return canonicalText(JSON.parse(json));
  } catch {
    return JSON.stringify(json);
  }
}
