import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  KnownRecipeDto,
  NewSerialDilutionDto,
  RecipeDto,
  RecipeSummaryDto,
  SerialDilutionDto,
  UsableContainerDto,
  WorksheetDto,
  WorksheetLineDto,
  WorksheetQueryDto,
} from '../../contract/recipes.dto.js';
import { quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import { usableUntil } from '../../core/lot/expiry.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import { checkRecipe } from '../../core/recipe/check.js';
import { convert, tidy } from '../../core/recipe/quantity.js';
import type { WrittenRecipe } from '../../core/recipe/recipe.js';
import { serialDilution } from '../../core/recipe/solution.js';
import { worksheet, type WorksheetLine } from '../../core/recipe/worksheet.js';
import { Refusal } from '../../core/refusal.js';
import { allocateFefo, type Stocked } from '../../core/stock/fefo.js';
import type { Instant } from '../../core/time/instant.js';
import { catalogue } from '../../store/questions/reagents.js';
import { currentRecipes, needRecipe } from '../../store/questions/recipes.js';
import { stockHere, type StockedContainer } from '../../store/questions/on-hand.js';
import { RecipeRow } from '../../store/rows/preparations.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class RecipesService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  async list({ laboratoryId }: Acting): Promise<RecipeSummaryDto[]> {
    const rows = await this.store.read(laboratoryId, currentRecipes);
    return rows.map(({ own, content: { code, name, reagent, makes, strength } }) => ({
      code,
      name,
      reagent,
      makes,
      ...(strength !== undefined && { strength }),
      own,
    }));
  }

  recipe({ laboratoryId }: Acting, code: string): Promise<KnownRecipeDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { content, own, at, personId } = await needRecipe(view, code);
      const recipes = await currentRecipes(view);
      const known = new Map((await catalogue(view)).map((reagent) => [reagent.code, reagent]));
      const codes = [content.reagent, ...takenBy(content)];
      const names = Object.fromEntries(codes.map((each) => [each, known.get(each)?.name ?? each]));
      const madeBy = Object.fromEntries(
        codes.slice(1).flatMap((each): [string, string[]][] => {
          const by = recipes.filter((row) => row.content.reagent === each).map((row) => row.code);
          return by.length > 0 ? [[each, by]] : [];
        }),
      );
      return { recipe: content, own, since: at, personId, names, madeBy };
    });
  }

  /** Writes a recipe of the laboratory's own; from then on it counts for its code. */
  async write(acting: Acting, recipe: RecipeDto, key?: string): Promise<KnownRecipeDto> {
    await this.store.change(
      acting,
      'recipe.written',
      async (unit) => {
        const others = (await currentRecipes(unit)).map(({ content }) => content);
        const problems = checkRecipe(recipe, [], others, { reagents: await catalogue(unit) });
        if (problems.length > 0) {
          const message = `This recipe cannot be kept: ${problems.map((each) => each.message).join('; ')}.`;
          const told = problems.map(({ path, message: said }) => ({ at: path.join('.'), message: said }));
          throw new Refusal('invalid', problems[0]?.code ?? 'bad-recipe', message, told);
        }
        const { code } = recipe;
        const content = plain(recipe);
        const row = await unit.insert(RecipeRow, { code, content, own: true, at: unit.at, personId: unit.personId });
        unit.about('recipe', row.id, { code });
        return code;
      },
      onceOf(key, recipe),
    );
    return this.recipe(acting, recipe.code);
  }

  /** What to weigh and to pour, in what order, and from which containers. */
  worksheet({ laboratoryId }: Acting, code: string, { volume, usedAtCel }: WorksheetQueryDto): Promise<WorksheetDto> {
    const now = this.clock.now();
    return this.store.read(laboratoryId, async (view) => {
      const { content } = await needRecipe(view, code);
      const known = new Map((await catalogue(view)).map((reagent) => [reagent.code, reagent]));
      const lines: WorksheetLineDto[] = [];
      for (const line of worksheet(content, volume, usedAtCel === undefined ? {} : { usedAtCel })) {
        lines.push(await this.line(view, line, known, now));
      }
      const hazards = [...new Set([content.reagent, ...takenBy(content)])]
        .flatMap((each) => known.get(each)?.cautions ?? [])
        .filter(({ agent }, n, all) => all.findIndex((other) => other.agent === agent) === n);
      return {
        recipe: content,
        volume,
        lines,
        hazards: hazards.map(({ agent, codes, signal, advice }) => ({
          agent,
          codes,
          signal,
          ...(advice !== undefined && { advice }),
        })),
      };
    });
  }

  serialDilution({ stock, factor, tubes, volume }: NewSerialDilutionDto): SerialDilutionDto {
    return { tubes: serialDilution(stock, factor, tubes, volume) };
  }

  private async line(
    view: View,
    line: WorksheetLine,
    known: ReadonlyMap<string, Reagent>,
    now: Instant,
  ): Promise<WorksheetLineDto> {
    const reagent = known.get(line.takes);
    const water = reagent?.kind === 'water';
    const shown = { ...line, name: reagent?.name ?? line.takes, water };
    if (water) return { ...shown, containers: [], short: null };
    // What may stand in its place is taken too, the same as at the bench.
    const codes = [line.takes, ...(reagent?.acceptedInstead ?? []), ...line.instead.map(({ takes }) => takes)];
    const stocked: StockedContainer[] = [];
    for (const code of codes) {
      const [found] = await stockHere(view, { reagent: code, take: 1 });
      stocked.push(...(found?.containers ?? []));
    }
    const declared = reagent?.unit ?? USUAL_UNIT;
    const need = tidy(convert(line.amount, declared));
    const usable = stocked.filter(({ facts, vessel }) => vessel === null && mayServe(facts, now));
    const offers = usable.map((container) => offerOf(container, declared, need, line, known));
    const { take, short } = allocateFefo(
      offers.map(({ stock }) => stock),
      need,
      now,
    );
    const containers = [...offers]
      .sort((a, b) => order(a.stock, b.stock))
      .map(({ view: container, stock, share }): UsableContainerDto => {
        const taken = take.find(({ id }) => id === stock.id);
        if (!taken || line.makeUpTo) return container;
        return { ...container, take: { value: tidy(taken.quantity / share), unit: declared } };
      });
    // How much a mix is made up with is seen at the mark.
    return { ...shown, containers, short: short > 0 && !line.makeUpTo ? { value: tidy(short), unit: declared } : null };
  }
}

/** Accepted and not gone; one that is not opened yet can be opened. */
function mayServe(facts: StockedContainer['facts'], now: Instant): boolean {
  return whyUnusable(facts, facts.reagent, { at: now, uncertaintyMs: 0 }, true).every(
    ({ code }) => code === 'not-opened',
  );
}

interface Offer {
  view: UsableContainerDto;
  stock: Stocked;
  /** How much of the form that the recipe names one part of this one stands for. */
  share: number;
}

/** A container as first expired, first out looks at it; one of which nobody said how much it holds may hold enough. */
function offerOf(
  { id, label, reagent, lotId, lotNumber, onHand, receivedAt, facts }: StockedContainer,
  declared: string,
  need: number,
  { amount, instead }: WorksheetLine,
  known: ReadonlyMap<string, Reagent>,
): Offer {
  const held = onHand === null ? null : quantityOf(onHand, known.get(reagent)?.unit ?? USUAL_UNIT);
  // Of another form more or less is needed: its stock is told as so much of the form that the recipe names.
  const form = instead.find(({ takes }) => takes === reagent);
  const share = form ? amount.value / form.amount.value : 1;
  const until = usableUntil(facts.limits);
  const opened = facts.states.at(-1)?.state === 'opened';
  return {
    share,
    view: { id, label, reagent, lotId, lotNumber, onHand: held, usableUntil: until, opened },
    stock: {
      id,
      usableUntil: until,
      quantity: held === null ? need : tidy(convert(held, declared) * share),
      receivedAt,
      state: 'accepted',
    },
  };
}

function order(a: Stocked, b: Stocked): number {
  const [one, other] = [a.usableUntil ?? '9', b.usableUntil ?? '9'];
  return one === other ? a.receivedAt.localeCompare(b.receivedAt) || a.id.localeCompare(b.id) : one < other ? -1 : 1;
}

function takenBy({ lines, buffer }: WrittenRecipe): string[] {
  return [
    ...(buffer ? [buffer.acid.takes, buffer.base.takes] : []),
    ...lines.flatMap(({ takes, instead }) => [takes, ...(instead ?? []).map((other) => other.takes)]),
  ];
}

/** A body as plain values, for the canonical bytes of the record. */
function plain(recipe: RecipeDto): WrittenRecipe {
  return JSON.parse(JSON.stringify(recipe)) as WrittenRecipe;
}
