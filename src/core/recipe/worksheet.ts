import { Refusal } from '../refusal.js';
import { bufferComposition } from './buffer.js';
import { molarMass } from './formula.js';
import { checkQuantity, convert, tidy, type Quantity } from './quantity.js';
import { type BufferForms, USUAL_TOLERANCE, type WrittenLine, type WrittenRecipe } from './recipe.js';
import { scaleRecipe } from './scale.js';
import { concentrationOf, dilute, massToWeigh } from './solution.js';

/** What to weigh or pour of one thing. */
export interface WorksheetLine {
  /** Counted from 1, in the order of work. */
  line: number;
  takes: string;
  /** Of what the mix is made up with, the volume to reach. */
  amount: Quantity;
  makeUpTo: boolean;
  untilReading: boolean;
  /** The least and the most, in the unit of the amount, that need no reason; null where the amount is no target. */
  within: { least: number; most: number } | null;
  formula: string | null;
  /** What its amount gives in the whole volume, mmol/L; null without a formula or a mass. */
  mmolPerL: number | null;
  /** Other forms, with as many moles. */
  instead: { takes: string; formula: string; amount: Quantity }[];
  /** Strength of the stock and of what comes of it. */
  dilutes: { from: Quantity; to: Quantity; diluentMl: number } | null;
  how: string | null;
}

/** What may be asked otherwise than the recipe says. */
export interface WorksheetChoice {
  /** Temperature at which a buffer will be used. */
  usedAtCel?: number;
}

/**
 * What to weigh and to pour, in order, for a volume of a recipe. Refuses a volume that is none, and a recipe that cannot be
 * scaled to it. 10 g in 1 L of sodium chloride becomes 5 g for 500 mL, 171.1 mmol/L.
 */
export function worksheet(recipe: WrittenRecipe, volume: Quantity, choice: WorksheetChoice = {}): WorksheetLine[] {
  checkQuantity('the volume to make', volume, 'volume');
  const stated = recipe.lines.map((line) => ({ ...line, amount: amountOf(line, recipe.makes) }));
  const scaled = scaleRecipe({ code: recipe.code, makes: recipe.makes, lines: stated }, volume).lines;
  const lines = recipe.lines.map((line, n) => ({
    line,
    amount: line.makeUpTo ? volume : (scaled[n] as { amount: Quantity }).amount,
  }));
  const forms = recipe.buffer ? bufferLines(recipe.buffer, volume, choice) : [];
  return [...forms, ...lines].map(({ line, amount }, n) =>
    workOf(line, amount, n + 1, volume, recipe.tolerance ?? USUAL_TOLERANCE),
  );
}

interface Work {
  line: WrittenLine;
  amount: Quantity;
}

function bufferLines(
  { acid, base, pKa, pKaAtCel, pKaPerCel, usedAtCel, pH, total }: BufferForms,
  volume: Quantity,
  choice: WorksheetChoice,
): Work[] {
  const moves =
    pKaAtCel === undefined || pKaPerCel === undefined
      ? {}
      : { moves: { atCel: pKaAtCel, perCel: pKaPerCel, usedAtCel: choice.usedAtCel ?? usedAtCel } };
  const { acidG, baseG } = bufferComposition({
    acid: acid.formula,
    base: base.formula,
    constant: { pKa, ...moves },
    pH,
    total,
    volume,
  });
  return [
    { line: acid, amount: handy(acidG) },
    { line: base, amount: handy(baseG) },
  ];
}

/** What a line takes for the volume that the recipe makes. */
function amountOf(line: WrittenLine, makes: Quantity): Quantity {
  if (line.amount) return line.amount;
  if (line.makeUpTo) return makes;
  if (line.dilute) return { value: dilute(line.dilute.from, line.dilute.to, makes, line.formula).stockMl, unit: 'mL' };
  if (line.weigh) return handy(massToWeigh(line.weigh, makes, line.formula));
  throw new Refusal('invalid', 'no-amount', `${line.takes} has no amount; give amount, dilute, weigh or makeUpTo`);
}

function workOf(line: WrittenLine, amount: Quantity, n: number, volume: Quantity, tolerance: number): WorksheetLine {
  const { takes, formula, makeUpTo = false, untilReading = false } = line;
  const target = !makeUpTo && !untilReading;
  return {
    line: n,
    takes,
    amount,
    makeUpTo,
    untilReading,
    within: target
      ? { least: tidy(amount.value * (1 - tolerance / 100)), most: tidy(amount.value * (1 + tolerance / 100)) }
      : null,
    formula: formula ?? null,
    mmolPerL: formula !== undefined && isMass(amount) ? concentrationOf(amount, volume, 'mmol/L', formula) : null,
    instead: (line.instead ?? []).map((other) => ({ ...other, amount: asForm(line, amount, other.formula) })),
    dilutes: line.dilute
      ? { ...line.dilute, diluentMl: dilute(line.dilute.from, line.dilute.to, volume, formula).diluentMl }
      : null,
    how: line.how ?? null,
  };
}

/** As many moles of another form. `Na2HPO4` 1 g is 1.254 g of `Na2HPO4.2H2O`. */
function asForm({ takes, formula }: WrittenLine, { value, unit }: Quantity, other: string): Quantity {
  if (formula === undefined) {
    throw new Refusal('invalid', 'no-formula', `${takes} has other forms and no formula of its own; give it`);
  }
  return { value: tidy((value * molarMass(other)) / molarMass(formula)), unit };
}

/** Grams as a balance shows them: below a tenth of a gram, milligrams. */
function handy(grams: number): Quantity {
  const mass = { value: grams, unit: 'g' };
  return grams < 0.1 ? { value: tidy(convert(mass, 'mg')), unit: 'mg' } : mass;
}

function isMass({ unit }: Quantity): boolean {
  return /^(k|m|u|n)?g$/.test(unit);
}
