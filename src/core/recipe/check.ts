import type { Source } from '../protocol/catalogue.js';
import { duplicates, missingSources, nearest } from '../protocol/check.js';
import type { Path, Problem } from '../protocol/problem.js';
import type { Reagent } from '../protocol/protocol.js';
import { unitFault, unitOf } from '../protocol/units.js';
import { USUAL_UNIT } from '../ledger/amount.js';
import { Refusal } from '../refusal.js';
import { endOfLife } from '../time/zone.js';
import { molarMass } from './formula.js';
import { convert, type Quantity } from './quantity.js';
import type { AcceptanceReading, WrittenLine, WrittenRecipe } from './recipe.js';
import { circleOf, type Recipe } from './scale.js';
import { worksheet } from './worksheet.js';

/** What recipes may name; without sources those are not looked at. */
export interface RecipeVocabulary {
  reagents: readonly Reagent[];
  sources?: readonly Source[];
}

/**
 * Everything that is wrong across the recipes of a list whose form is right: codes given twice, what is not in the
 * catalogue, amounts that cannot be reckoned or counted in the reagent's unit, readings without limits, and a recipe that
 * comes to make itself.
 */
export function checkRecipes(recipes: readonly WrittenRecipe[], vocabulary: RecipeVocabulary): Problem[] {
  return [
    ...duplicates(recipes, 'code', ['recipes']),
    ...recipes.flatMap((recipe, i) => checkRecipe(recipe, ['recipes', i], recipes, vocabulary)),
  ];
}

/** What is wrong with one recipe at `at`, among the others that the laboratory has. */
export function checkRecipe(
  recipe: WrittenRecipe,
  at: Path,
  all: readonly WrittenRecipe[],
  { reagents, sources }: RecipeVocabulary,
): Problem[] {
  const known = new Map(reagents.map((reagent) => [reagent.code, reagent]));
  const problems = [
    ...unknown(recipe.reagent, [...at, 'reagent'], known),
    ...recipe.lines.flatMap((line, i) => checkLine(line, [...at, 'lines', i], known)),
    ...(recipe.buffer
      ? (['acid', 'base'] as const).flatMap((part) =>
          unknown(recipe.buffer?.[part].takes ?? '', [...at, 'buffer', part, 'takes'], known),
        )
      : []),
    ...(recipe.readings ?? []).flatMap((reading, i) => checkReading(reading, [...at, 'readings', i])),
    ...duplicates(recipe.readings ?? [], 'id', [...at, 'readings']),
    ...said([...at, 'life', 'duration'], () => void endOfLife('2026-01-01T00:00:00.000Z', recipe.life.duration, 'UTC')),
    ...(sources
      ? missingSources(recipe.sources, [...at, 'sources'], new Set(sources.map((source) => source.key)))
      : []),
    ...circle(recipe, at, all),
  ];
  if (recipe.lines.filter(({ makeUpTo }) => makeUpTo).length > 1) {
    problems.push({ path: [...at, 'lines'], code: 'made-up-twice', message: 'only one line can make up the volume' });
  }
  if (recipe.lines.some(({ untilReading }) => untilReading) && !recipe.readings?.some(({ unit }) => unit)) {
    const message =
      'a line is added until the reading is right, and no reading with a unit is given; add it to readings';
    problems.push({ path: [...at, 'readings'], code: 'no-reading', message });
  }
  if (problems.length > 0) return problems;
  return said([...at, 'lines'], () => {
    for (const { takes, amount, instead } of worksheet(recipe, recipe.makes)) {
      fits(amount, known.get(takes));
      for (const other of instead) fits(other.amount, known.get(other.takes));
    }
  });
}

function checkLine(line: WrittenLine, at: Path, known: ReadonlyMap<string, Reagent>): Problem[] {
  const ways = (['amount', 'dilute', 'weigh', 'makeUpTo'] as const).filter((way) => line[way] !== undefined);
  return [
    ...unknown(line.takes, [...at, 'takes'], known),
    ...(line.instead ?? []).flatMap(({ takes }, i) => unknown(takes, [...at, 'instead', i, 'takes'], known)),
    ...(ways.length === 1
      ? []
      : [
          {
            path: at,
            code: 'amount',
            message: `${line.takes} has ${ways.length === 0 ? 'no amount' : ways.join(' and ')}; give one of amount, dilute, weigh and makeUpTo`,
          },
        ]),
    ...said([...at, 'formula'], () => {
      if (line.formula !== undefined) molarMass(line.formula);
    }),
  ];
}

function checkReading({ unit, min, max, what }: AcceptanceReading, at: Path): Problem[] {
  const found = (key: string, message: string) => [{ path: [...at, key], code: 'reading', message }];
  if (unit === undefined) {
    return min === undefined && max === undefined
      ? []
      : found('unit', `"${what}" has limits and no unit; give the unit of the number, such as [pH]`);
  }
  if (unitOf(unit) === undefined) return found('unit', `"${unit}" is not a UCUM code; write one such as [pH] or Cel`);
  if (min === undefined && max === undefined)
    return found('min', `"${what}" is a number without limits; give min or max`);
  if (min !== undefined && max !== undefined && min > max) {
    return found('min', `min ${min} is above max ${max}; they must rise in this order`);
  }
  return [];
}

function unknown(code: string, path: Path, known: ReadonlyMap<string, Reagent>): Problem[] {
  if (known.has(code)) return [];
  const near = nearest(code, known.keys());
  const right = near === undefined ? 'add it there or name one that is' : `did you mean "${near}"?`;
  return [{ path, code: 'unknown-reagent', message: `"${code}" is not in the catalogue of reagents; ${right}` }];
}

/** Refuses an amount that the ledger could not take from what it counts in the reagent's unit. */
function fits(amount: Quantity, reagent: Reagent | undefined): void {
  if (!reagent || reagent.kind === 'water') return;
  const declared = reagent.unit ?? USUAL_UNIT;
  if (unitFault(amount.unit, 'mass') === undefined || unitFault(amount.unit, 'volume') === undefined) {
    convert(amount, declared);
  } else if (amount.unit !== declared) {
    throw new Refusal(
      'invalid',
      'unit-mismatch',
      `${reagent.code} is counted in ${declared} and the recipe takes ${amount.unit}; give both in one unit`,
    );
  }
}

/** What each reagent is made of by the recipes for it, as `circleOf` follows it. */
export function madeOf(recipes: readonly WrittenRecipe[]): Map<string, Recipe> {
  const found = new Map<string, Recipe>();
  for (const { reagent, makes, lines, buffer } of recipes) {
    const takes = [
      ...lines.flatMap((line) => [line.takes, ...(line.instead ?? []).map((other) => other.takes)]),
      ...(buffer ? [buffer.acid.takes, buffer.base.takes] : []),
    ].map((code) => ({ takes: code, amount: makes }));
    found.set(reagent, { code: reagent, makes, lines: [...(found.get(reagent)?.lines ?? []), ...takes] });
  }
  return found;
}

function circle(recipe: WrittenRecipe, at: Path, all: readonly WrittenRecipe[]): Problem[] {
  // Of several recipes for one reagent each is looked at by itself.
  const others = all.filter(({ reagent }) => reagent !== recipe.reagent);
  const way = circleOf(recipe.reagent, madeOf([...others, recipe]));
  if (!way) return [];
  const message = `${recipe.reagent} would be made of itself: ${way.join(', of ')}; take something else for one of them`;
  return [{ path: [...at, 'lines'], code: 'circle', message }];
}

/** What a refusal says, as a problem at a place. */
function said(path: Path, work: () => void): Problem[] {
  try {
    work();
    return [];
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return [{ path, code: error.code, message: error.message }];
  }
}
