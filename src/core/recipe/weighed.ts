import { Refusal } from '../refusal.js';
import { checkQuantity, convert, tidy, type Quantity } from './quantity.js';
import type { AcceptanceReading } from './recipe.js';
import type { WorksheetLine } from './worksheet.js';

/** What of a line was really weighed or poured. */
export interface WeighedLine {
  line: number;
  /** Code of the reagent that was taken. */
  takes: string;
  /** What the worksheet asked; null without a recipe, and for what the mix is made up with. */
  planned: Quantity | null;
  /** From each container; none for water from the tap. */
  taken: { containerId: string; quantity: Quantity }[];
  /** Of water from the tap, when it was said. */
  poured?: Quantity;
  /** Why the amount differs. */
  reason?: string;
}

/** A reading as it was taken. */
export interface ReadingTaken {
  /** Id of the recipe's reading. */
  id: string;
  what: string;
  /** Of a number. */
  value?: number;
  unit?: string;
  passed: boolean;
  note?: string;
}

/**
 * Refuses an amount that differs from the worksheet's by more than the recipe allows, unless a reason is given; `at` names
 * the field. Other forms of the substance are compared with their own amount. 2.1 g of 2 g within 2 % asks for a reason.
 */
export function checkWeighed(
  line: WorksheetLine,
  takes: string,
  really: Quantity,
  reason: string | undefined,
  at: string,
): void {
  if (line.within === null || reason !== undefined) return;
  const planned = takes === line.takes ? line.amount : line.instead.find((each) => each.takes === takes)?.amount;
  if (!planned) return;
  const share = convert(really, planned.unit) / planned.value;
  const [least, most] = [line.within.least / line.amount.value, line.within.most / line.amount.value];
  // Sums of parts carry noise in their last digits.
  if (tidy(share) >= tidy(least) && tidy(share) <= tidy(most)) return;
  const [low, high] = [least, most].map((part) => Number((planned.value * part).toPrecision(6)));
  const message = `${really.value} ${really.unit} of ${takes} was taken and the recipe asks for ${Number(planned.value.toPrecision(6))} ${planned.unit} (${low} to ${high}); say why, or correct the amount.`;
  throw new Refusal('invalid', 'outside-tolerance', message, [{ at, message }]);
}

/** The sum of amounts in the unit of the first; refuses amounts of different kinds and amounts that are none. */
export function sumOf(amounts: readonly Quantity[]): Quantity {
  const [first] = amounts;
  if (!first) throw new RangeError('nothing to sum');
  return { value: tidy(amounts.reduce((sum, each) => sum + convert(each, first.unit), 0)), unit: first.unit };
}

/**
 * A reading judged by its recipe: a number by its limits, ends included, anything else by the person's yes or no. Refuses
 * one that the recipe does not ask for, and a number where yes or no was asked or the other way round. A pH of 7.1 within
 * 6.8 to 7.2 is `{passed: true, …}`.
 */
export function judgeReading(
  asked: readonly AcceptanceReading[],
  { id, value, passed, note }: { id: string; value?: number; passed?: boolean; note?: string },
  at: string,
): ReadingTaken {
  const refuse = (message: string) => new Refusal('invalid', 'bad-reading', message, [{ at, message }]);
  const reading = asked.find((each) => each.id === id);
  if (!reading) {
    const ids = asked.map((each) => each.id).join(', ');
    throw refuse(`the recipe asks for no reading "${id}"; it asks for ${ids === '' ? 'none' : ids}`);
  }
  const { what, unit, min, max } = reading;
  const more = note === undefined ? {} : { note };
  if (unit === undefined) {
    if (passed === undefined || value !== undefined) throw refuse(`"${what}" is answered by passed, true or false`);
    return { id, what, passed, ...more };
  }
  if (value === undefined || passed !== undefined) throw refuse(`"${what}" is a number; give its value in ${unit}`);
  const fits = (min === undefined || value >= min) && (max === undefined || value <= max);
  return { id, what, value, unit, passed: fits, ...more };
}

/** What is still to be read or was read and does not pass, in words; empty when the preparation may be accepted. */
export function openReadings(asked: readonly AcceptanceReading[], taken: readonly ReadingTaken[]): string[] {
  const latest = new Map(taken.map((each) => [each.id, each]));
  return asked.flatMap(({ id, what }) => {
    const found = latest.get(id);
    if (!found) return [`${what} was not read`];
    return found.passed ? [] : [`${what} did not pass${found.value === undefined ? '' : `: ${found.value}`}`];
  });
}

/** Refuses containers that together hold more than was made. */
export function checkContainersMade(sizes: readonly Quantity[], made: Quantity): void {
  for (const size of sizes) checkQuantity('a container', size, 'volume');
  const held = sizes.length === 0 ? 0 : convert(sumOf(sizes), made.unit);
  if (tidy(held) <= tidy(made.value)) return;
  const message = `The containers hold ${Number(held.toPrecision(6))} ${made.unit} and ${made.value} ${made.unit} was made; correct the one or the other.`;
  throw new Refusal('invalid', 'more-than-made', message, [{ at: 'containers', message }]);
}
