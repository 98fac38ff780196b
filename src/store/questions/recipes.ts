import type { WrittenRecipe } from '../../core/recipe/recipe.js';
import { nearest } from '../../core/protocol/check.js';
import { Refusal } from '../../core/refusal.js';
import { RecipeRow } from '../rows/preparations.entity.js';
import type { View } from '../view.js';

/** The recipes that count, in the order of their codes: of each the laboratory's own latest, or else what shipped last. */
export async function currentRecipes(view: View): Promise<RecipeRow[]> {
  const rows = await view.all(RecipeRow, {}, { order: { code: 'ASC', seq: 'ASC' } });
  const current = new Map<string, RecipeRow>();
  for (const row of rows) {
    if (row.own || !current.get(row.code)?.own) current.set(row.code, row);
  }
  return [...current.values()];
}

/** The recipe of a code as it counts now; refuses one that is not here, naming what may be meant. */
export async function needRecipe(view: View, code: string, at = 'recipe'): Promise<RecipeRow> {
  const recipes = await currentRecipes(view);
  const found = recipes.find((each) => each.code === code);
  if (found) return found;
  const near = nearest(
    code,
    recipes.map((each) => each.code),
  );
  const message = `There is no recipe "${code}"; ${near === undefined ? 'look it up in the list of recipes' : `did you mean ${near}?`}`;
  throw new Refusal('not-found', 'not-found', message, [{ at, message }]);
}

/** Every recipe that the program shipped with, whatever counts now. */
export async function shippedRecipes(view: View): Promise<Map<string, WrittenRecipe>> {
  const rows = await view.all(RecipeRow, { own: false }, { order: { code: 'ASC', seq: 'ASC' } });
  return new Map(rows.map(({ code, content }) => [code, content]));
}
