import type { NewPreparation, WorksheetLine } from '../api.paths.js';
import { typedNumber } from '../parts/typed-number.js';
import { RECIPES } from './words.js';

const words = RECIPES.prepare;

/** A container that a line is taken from, and what the balance showed, as typed. */
export interface Filled {
  id: string;
  label: string;
  /** Code of the reagent in it. */
  reagent: string;
  amount: string;
}

/** A line of the worksheet as it is worked through. */
export interface LineFilling {
  taken: readonly Filled[];
  reason: string;
}

export const EMPTY_LINE: LineFilling = { taken: [], reason: '' };

/** What one line asks for in the form of the substance that stands in the container. */
export function askedOf(line: WorksheetLine, reagent: string): { value: number; unit: string } {
  return line.instead.find(({ takes }) => takes === reagent)?.amount ?? line.amount;
}

/** The unit in which a line's amount is entered. */
export function unitOf(line: WorksheetLine, filled: Filled | undefined): string {
  return filled ? askedOf(line, filled.reagent).unit : line.amount.unit;
}

/** Whether what was typed differs by more than the recipe allows without a reason. */
export function isOff(line: WorksheetLine, { taken }: LineFilling): boolean {
  const [first] = taken;
  if (line.within === null || !first) return false;
  const amounts = taken.map(({ amount }) => typedNumber(amount));
  if (!amounts.every((amount) => amount > 0)) return false;
  const asked = askedOf(line, first.reagent).value;
  const share = amounts.reduce((sum, each) => sum + each, 0) / asked;
  const spare = 1e-9;
  return share < line.within.least / line.amount.value - spare || share > line.within.most / line.amount.value + spare;
}

/** Whether something was typed that is no amount. */
export function isNoAmount({ amount }: Filled): boolean {
  return amount.trim() !== '' && !(typedNumber(amount) > 0);
}

/** The numbers of the lines for which a container, an amount or a reason is missing. */
export function missingLines(lines: readonly WorksheetLine[], filling: ReadonlyMap<number, LineFilling>): number[] {
  return lines.flatMap((line) => {
    const given = filling.get(line.line) ?? EMPTY_LINE;
    if (line.water) return [];
    const whole = given.taken.length > 0 && given.taken.every(({ amount }) => typedNumber(amount) > 0);
    return whole && !(isOff(line, given) && given.reason.trim() === '') ? [] : [line.line];
  });
}

/** What is sent for the lines. */
export function linesOf(
  lines: readonly WorksheetLine[],
  filling: ReadonlyMap<number, LineFilling>,
): NewPreparation['lines'] {
  return lines.flatMap((line) => {
    const given = filling.get(line.line) ?? EMPTY_LINE;
    if (given.taken.length === 0) return [];
    const reason = given.reason.trim();
    return [
      {
        line: line.line,
        taken: given.taken.map((filled) => ({
          container: filled.id,
          quantity: { value: typedNumber(filled.amount), unit: unitOf(line, filled) },
        })),
        ...(reason !== '' && { reason }),
      },
    ];
  });
}

/** A reading as it is typed: a number, yes or no, or nothing yet. */
export type TypedReading = { value: string } | { passed: boolean };

export function readingsOf(
  typed: ReadonlyMap<string, TypedReading>,
): { id: string; value?: number; passed?: boolean }[] {
  return [...typed].flatMap(([id, reading]): { id: string; value?: number; passed?: boolean }[] => {
    if ('passed' in reading) return [{ id, passed: reading.passed }];
    const value = typedNumber(reading.value);
    return Number.isNaN(value) ? [] : [{ id, value }];
  });
}

/** In words what is missing before it can be kept. */
export function missingWords(
  lines: readonly WorksheetLine[],
  filling: ReadonlyMap<number, LineFilling>,
  each: string,
): string[] {
  return [
    ...missingLines(lines, filling).map((n) => words.amountOf(n)),
    ...(typedNumber(each) > 0 ? [] : [words.containers.toLowerCase()]),
  ];
}
