import { endOfPrinted, instantOfLocal } from '../time/zone.js';
import { nearest } from '../protocol/check.js';
import type { Reagent } from '../protocol/protocol.js';
import type { Quantity } from '../recipe/quantity.js';
import { Refusal } from '../refusal.js';
import type { Instant } from '../time/instant.js';
import { suppliedLimits } from '../lot/receive.js';
import { microOf, USUAL_UNIT } from './amount.js';

/** The columns of a file of opening stock; those with true must be there and filled. */
export const OPENING_COLUMNS = {
  reagent: true,
  'lot number': true,
  expiry: true,
  supplier: true,
  amount: true,
  unit: true,
  containers: false,
  serial: false,
  price: false,
  place: false,
  opened: false,
  accepted: false,
} as const;
export type OpeningColumn = keyof typeof OPENING_COLUMNS;
const COLUMNS = Object.keys(OPENING_COLUMNS) as OpeningColumn[];

/** More rows than this are refused: they are taken in one act, which others wait for. */
export const MOST_ROWS = 2_000;
const MOST_CONTAINERS = 200;

/** One row that is right in itself: one lot, or a part of one, in one or more like containers. */
export interface OpeningRow {
  /** Counted from 1 with the heading as row 1, as a spreadsheet counts. */
  row: number;
  reagent: string;
  number: string;
  expiry: string;
  source: string;
  /** What each container holds. */
  amount: Quantity;
  containers: number;
  serial: string | undefined;
  /** Of one container, in hundredths. */
  priceCents: number | undefined;
  place: string | undefined;
  openedAt: Instant | undefined;
  /** Why its lot is accepted already. */
  accepted: string | undefined;
}

/** What is wrong with one field of one row. */
export interface BadRow {
  row: number;
  field: string;
  message: string;
}

/** What a file of opening stock is judged against. */
export interface OpeningContext {
  reagents: readonly Reagent[];
  zone: string;
  now: Instant;
}

/**
 * The rows of a table of opening stock with a heading, each read or told with every fault by field; empty rows are passed
 * over. Refuses a table without its columns, an unknown column, and more than 2,000 rows. A day of opening counts from its
 * first minute, so that no opened life is reckoned longer than it is.
 */
export function readOpening(
  table: readonly (readonly string[])[],
  context: OpeningContext,
): { rows: OpeningRow[]; bad: BadRow[]; count: number } {
  const [heading = [], ...rest] = table;
  const columns = columnsOf(heading);
  const filled = rest
    .map((cells, n) => ({ cells: cells.map((cell) => cell.trim()), row: n + 2 }))
    .filter(({ cells }) => cells.some((cell) => cell !== ''));
  if (filled.length > MOST_ROWS) {
    const message = `The file has ${filled.length} rows of stock, and at most ${MOST_ROWS} are taken at once; divide it and send the parts one after another.`;
    throw new Refusal('invalid', 'too-many-rows', message);
  }
  const bad: BadRow[] = [];
  const rows = filled.flatMap(({ cells, row }) => {
    const reading = new RowReading(row, columns, cells, context);
    const read = reading.read();
    bad.push(...reading.bad);
    return read ?? [];
  });
  bad.push(...acrossRows(rows));
  const faulty = new Set(bad.map(({ row }) => row));
  return {
    rows: rows.filter(({ row }) => !faulty.has(row)),
    bad: bad.sort((a, b) => a.row - b.row),
    count: filled.length,
  };
}

function columnsOf(heading: readonly string[]): Map<OpeningColumn, number> {
  const columns = new Map<OpeningColumn, number>();
  const problems: { at: string; message: string }[] = [];
  heading.forEach((cell, n) => {
    const name = cell.trim().toLowerCase();
    if (name === '') return;
    const column = COLUMNS.find((each) => each === name);
    const at = `row 1: ${name}`;
    if (!column) {
      const near = nearest(name, COLUMNS);
      const right = near ? `did you mean "${near}"?` : `the columns are ${COLUMNS.join(', ')}`;
      problems.push({ at, message: `there is no column "${name}"; ${right}` });
    } else if (columns.has(column)) problems.push({ at, message: `"${name}" stands twice; keep one` });
    else columns.set(column, n);
  });
  for (const name of COLUMNS) {
    if (OPENING_COLUMNS[name] && !columns.has(name)) {
      problems.push({ at: `row 1: ${name}`, message: `the column "${name}" is missing; add it to the heading` });
    }
  }
  if (problems.length === 0) return columns;
  const message = `The heading in the first row is not right: ${problems.map((each) => each.message).join('; ')}.`;
  throw new Refusal('invalid', 'bad-heading', message, problems);
}

/** Reads one row, keeping what is wrong with it. */
class RowReading {
  readonly bad: BadRow[] = [];

  constructor(
    private readonly row: number,
    private readonly columns: ReadonlyMap<OpeningColumn, number>,
    private readonly cells: readonly string[],
    private readonly context: OpeningContext,
  ) {}

  read(): OpeningRow | null {
    for (const column of COLUMNS) {
      if (OPENING_COLUMNS[column] && this.cell(column) === undefined) this.fault(column, 'is missing; fill it in');
    }
    const reagent = this.reagent();
    const read = {
      row: this.row,
      reagent: this.cell('reagent') ?? '',
      number: this.text('lot number', 40),
      expiry: this.expiry(),
      source: this.text('supplier', 100),
      amount: this.amount(reagent),
      containers: this.containers(),
      serial: this.serial(),
      priceCents: this.price(),
      place: this.cell('place'),
      openedAt: this.opened(),
      accepted: this.cell('accepted') === undefined ? undefined : this.text('accepted', 500),
    };
    return this.bad.length === 0 ? read : null;
  }

  private cell(column: OpeningColumn): string | undefined {
    const text = this.cells[this.columns.get(column) ?? -1];
    return text === undefined || text === '' ? undefined : text;
  }

  private fault(field: OpeningColumn, message: string): void {
    this.bad.push({ row: this.row, field, message: `${field} ${message}` });
  }

  private text(column: OpeningColumn, most: number): string {
    const text = this.cell(column) ?? '';
    if (text.length > most) this.fault(column, `has ${text.length} characters; keep it within ${most}`);
    return text;
  }

  private reagent(): Reagent | undefined {
    const code = this.cell('reagent');
    if (code === undefined) return undefined;
    const { reagents } = this.context;
    const found = reagents.find((each) => each.code === code);
    if (found) return found;
    const byName = reagents.find(({ name }) => name.toLowerCase() === code.toLowerCase())?.code;
    const near =
      byName ??
      nearest(
        code,
        reagents.map((each) => each.code),
      );
    const right = near ? `did you mean ${near}?` : 'give its code as the catalogue has it';
    this.fault('reagent', `"${code}" is not in the catalogue of reagents; ${right}`);
    return undefined;
  }

  private expiry(): string {
    const expiry = this.cell('expiry');
    if (expiry !== undefined) {
      this.attempt('expiry', () => suppliedLimits(expiry, this.context.now, this.context.zone));
    }
    return expiry ?? '';
  }

  private amount(reagent: Reagent | undefined): Quantity {
    const value = this.number('amount');
    const unit = this.cell('unit') ?? '';
    const quantity = { value: value ?? 0, unit };
    if (value !== undefined && unit !== '') {
      // Of a reagent that nobody knows the amount is looked at all the same, in its own unit.
      const declared = reagent ? (reagent.unit ?? USUAL_UNIT) : unit;
      this.attempt(value > 0 ? 'unit' : 'amount', () => microOf(quantity, declared, 'amount'));
    }
    return quantity;
  }

  private containers(): number {
    const count = this.number('containers') ?? 1;
    if (!Number.isInteger(count) || count < 1 || count > MOST_CONTAINERS) {
      this.fault('containers', `is ${count}; give a whole number from 1 to ${MOST_CONTAINERS}`);
    }
    return count;
  }

  private serial(): string | undefined {
    const serial = this.cell('serial');
    if (serial !== undefined && (this.number('containers') ?? 1) !== 1) {
      this.fault('serial', 'stands on one container; give each container with a serial number a row of its own');
    }
    return serial === undefined ? undefined : this.text('serial', 40);
  }

  private price(): number | undefined {
    const price = this.number('price');
    if (price === undefined) return undefined;
    const cents = Math.round(price * 100);
    if (cents < 0 || cents > 1_000_000_000 || Math.abs(cents - price * 100) > 1e-6) {
      this.fault('price', `is ${price}; give what one container cost, with at most two decimals`);
    }
    return cents;
  }

  private opened(): Instant | undefined {
    const opened = this.cell('opened');
    if (opened === undefined) return undefined;
    const { zone, now } = this.context;
    return this.attempt('opened', () => {
      // The reading of an expiry also knows whether the day exists.
      endOfPrinted(opened, zone);
      const at = instantOfLocal(opened.length === 10 ? `${opened}T00:00` : opened, zone);
      if (at <= now) return at;
      throw new Refusal('invalid', 'future', `"${opened}" lies in the future; give the day on which it was opened`);
    });
  }

  private number(column: OpeningColumn): number | undefined {
    const text = this.cell(column);
    if (text === undefined) return undefined;
    if (/^-?\d+(\.\d+)?$/.test(text)) return Number(text);
    const right = /^\d+,\d+$/.test(text) ? `write it with a point, ${text.replace(',', '.')}` : 'write it like 12.5';
    this.fault(column, `"${text}" is no number; ${right}`);
    return undefined;
  }

  private attempt<T>(field: OpeningColumn, work: () => T): T | undefined {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.fault(field, `is refused: ${error.message}`);
      return undefined;
    }
  }
}

/** What single rows cannot show: a serial number twice, and one lot with two expiries. */
function acrossRows(rows: readonly OpeningRow[]): BadRow[] {
  const serials = new Map<string, number>();
  const lots = new Map<string, OpeningRow>();
  return rows.flatMap((each): BadRow[] => {
    const { row, reagent, number, serial, expiry } = each;
    const found: BadRow[] = [];
    if (serial !== undefined) {
      const first = serials.get(`${reagent} ${serial}`);
      const message = `serial ${serial} of ${reagent} stands in row ${first} already; compare both labels`;
      if (first !== undefined) found.push({ row, field: 'serial', message });
      else serials.set(`${reagent} ${serial}`, row);
    }
    const lot = lots.get(`${reagent} ${number}`);
    if (!lot) lots.set(`${reagent} ${number}`, each);
    else if (lot.expiry !== expiry) {
      const message = `expiry of lot ${number} is ${expiry} here and ${lot.expiry} in row ${lot.row}; compare both prints`;
      found.push({ row, field: 'expiry', message });
    }
    return found;
  });
}

/** Rows of one lot that came in one shipment, taken in together: the same print, supplier, price, place and standing. */
export function shipmentsOf(rows: readonly OpeningRow[]): OpeningRow[][] {
  const shipments = new Map<string, OpeningRow[]>();
  for (const each of rows) {
    const { reagent, number, expiry, source, priceCents, place, accepted } = each;
    const key = JSON.stringify([reagent, number, expiry, source, priceCents, place, accepted]);
    const so = shipments.get(key) ?? [];
    const held = so.reduce((sum, { containers }) => sum + containers, 0);
    if (so.length > 0 && held + each.containers > MOST_CONTAINERS) shipments.set(`${key} ${each.row}`, [each]);
    else shipments.set(key, [...so, each]);
  }
  return [...shipments.values()];
}
