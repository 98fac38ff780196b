import { In, LessThan } from 'typeorm';
import type { Quantity } from '../../core/recipe/quantity.js';
import { openReadings } from '../../core/recipe/weighed.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { PreparationReadingRow, PreparationRow, RecipeRow } from '../rows/preparations.entity.js';
import { ContainerRow, LotActRow, LotRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { componentsOf } from './components.js';
import { containerFacts } from './containers.js';

/** How a lot was made here. */
export interface KnownPreparation {
  row: PreparationRow;
  recipe: RecipeRow | null;
  lot: LotRow;
  decisions: LotActRow[];
  containers: ContainerRow[];
  readings: PreparationReadingRow[];
}

const IN_ORDER = { order: { seq: 'ASC' as const, id: 'ASC' as const } };

/** How a lot was made; refuses one that was not made here. */
export async function preparationOf(view: View, lotId: string): Promise<KnownPreparation> {
  const row = await view.need(PreparationRow, { lotId }, `preparation ${lotId}`);
  const { recipeId } = row;
  return {
    row,
    recipe: recipeId === null ? null : await view.one(RecipeRow, { id: recipeId }),
    lot: await view.need(LotRow, { id: lotId }, `lot ${lotId}`),
    decisions: await view.all(LotActRow, { lotId }, IN_ORDER),
    containers: await view.all(ContainerRow, { lotId }, IN_ORDER),
    readings: await view.all(PreparationReadingRow, { lotId }, IN_ORDER),
  };
}

/** A preparation in a list. */
export interface PreparationSummary {
  lotId: string;
  number: string;
  reagent: string;
  recipe: string | null;
  at: Instant;
  volume: Quantity;
}

/** Preparations, newest first, at most `take`, those before the lot `after` in that order left out. */
export async function knownPreparations(
  view: View,
  { recipe, take, after }: { recipe?: string | undefined; take: number; after?: string | undefined },
): Promise<PreparationSummary[]> {
  const by = recipe === undefined ? null : (await view.all(RecipeRow, { code: recipe })).map(({ id }) => id);
  const rows = await view.all(
    PreparationRow,
    { ...(by && { recipeId: In(by) }), ...(after !== undefined && { lotId: LessThan(after) }) },
    { order: { lotId: 'DESC' }, take },
  );
  const lots = new Map(
    (await view.all(LotRow, { id: In(rows.map(({ lotId }) => lotId)) })).map((lot) => [lot.id, lot]),
  );
  const recipes = await view.all(RecipeRow, { id: In(rows.flatMap(({ recipeId }) => recipeId ?? [])) });
  return rows.flatMap(({ lotId, recipeId, at, volume }) => {
    const lot = lots.get(lotId);
    if (!lot) return [];
    const code = recipes.find(({ id }) => id === recipeId)?.code ?? null;
    return [{ lotId, number: lot.number, reagent: lot.reagentCode, recipe: code, at, volume }];
  });
}

/**
 * Refuses to accept what is made here while something in it is not accepted, or a reading that its recipe asks for is open
 * or did not pass: a preparation is no better than what it is made of.
 */
export async function refuseUnfitPreparation(view: View, lot: LotRow): Promise<void> {
  if (lot.origin !== 'prepared') return;
  const components = await containerFacts(
    view,
    (await componentsOf(view, lot.id)).map(({ containerId }) => containerId),
  );
  const open = components.filter(({ lot: { standing } }) => standing.at(-1)?.standing !== 'accepted');
  if (open.length > 0) {
    const named = open.map(
      ({ label, lot: { number, standing } }) =>
        `${label} of lot ${number}, ${standing.at(-1)?.standing ?? 'quarantined'}`,
    );
    const message = `It is made of ${named.join('; ')}; accept those lots first.`;
    throw new Refusal('conflict', 'component-not-accepted', message);
  }
  if ((await view.one(PreparationRow, { lotId: lot.id })) === null) return;
  const { recipe, readings } = await preparationOf(view, lot.id);
  const unread = openReadings(
    recipe?.content.readings ?? [],
    readings.map(({ reading }) => reading),
  );
  if (unread.length === 0) return;
  const message = `Lot ${lot.number} cannot be accepted: ${unread.join('; ')}. Take the reading, or discard it.`;
  throw new Refusal('conflict', 'reading-open', message);
}
