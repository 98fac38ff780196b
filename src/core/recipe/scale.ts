import { unitFault } from '../protocol/units.js';
import { Refusal } from '../refusal.js';
import { checkQuantity, convert, tidy, type Quantity } from './quantity.js';

/** One line of a recipe, in the order of work. */
export interface RecipeLine {
  /** Code of the reagent, which another recipe may make. */
  takes: string;
  /** A mass, a volume, or a count such as 2 {tablet}; of what the mix is made up with, the whole volume to reach. */
  amount: Quantity;
  makeUpTo?: true;
}

export interface Recipe {
  code: string;
  makes: Quantity;
  lines: RecipeLine[];
}

/**
 * The recipe for another volume, every line multiplied alike and kept in its unit and order. Refuses a line that is
 * neither weighed, poured nor counted, and a count that comes out broken. 4 g in 1 L becomes 1 g for 250 mL.
 */
export function scaleRecipe(recipe: Recipe, volume: Quantity): Recipe {
  checkQuantity('the volume to make', volume, 'volume');
  checkQuantity(`what ${recipe.code} makes`, recipe.makes, 'volume');
  const factor = convert(volume, 'L') / convert(recipe.makes, 'L');
  return { ...recipe, makes: volume, lines: recipe.lines.map((line) => scaleLine(line, factor)) };
}

function scaleLine(line: RecipeLine, factor: number): RecipeLine {
  const { value, unit } = line.amount;
  const counted = isCount(unit);
  if (!counted) {
    checkQuantity(
      `the amount of ${line.takes}`,
      line.amount,
      unitFault(unit, 'mass') === undefined ? 'mass' : 'volume',
    );
  }
  const scaled = tidy(value * factor);
  if (counted && !(Number.isInteger(scaled) && scaled > 0)) {
    throw new Refusal(
      'invalid',
      'broken-count',
      `${line.takes} would be ${scaled} ${unit}, and a piece cannot be divided; make a volume for which it is a whole number`,
    );
  }
  return { ...line, amount: { value: scaled, unit } };
}

/** Pieces are counted in a remark alone, such as {tablet}. */
function isCount(unit: string): boolean {
  return /^\{[^{}]+\}$/.test(unit);
}

/**
 * The way by which a recipe comes to take itself, from its code back to it; undefined when it never does. With 'a'
 * taking 'b' and 'b' taking 'a', `circleOf('a', …)` is `['a', 'b', 'a']`.
 */
export function circleOf(code: string, recipes: ReadonlyMap<string, Recipe>): string[] | undefined {
  const seen = new Set<string>();
  const follow = (at: string, way: string[]): string[] | undefined => {
    for (const { takes } of recipes.get(at)?.lines ?? []) {
      if (takes === code) return [...way, code];
      if (seen.has(takes)) continue;
      seen.add(takes);
      const circle = follow(takes, [...way, takes]);
      if (circle) return circle;
    }
    return undefined;
  };
  return follow(code, [code]);
}
