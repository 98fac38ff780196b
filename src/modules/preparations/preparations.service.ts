import { Injectable } from '@nestjs/common';
import type {
  NewPreparationDto,
  NewReadingsDto,
  NewWeighedLineDto,
  PreparationDto,
  PreparationListDto,
  PreparationQueryDto,
} from '../../contract/preparations.dto.js';
import { quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import { usableUntil } from '../../core/lot/expiry.js';
import { checkQuantity, type Quantity } from '../../core/recipe/quantity.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import type { WrittenRecipe } from '../../core/recipe/recipe.js';
import {
  checkContainersMade,
  checkWeighed,
  judgeReading,
  openReadings,
  sumOf,
  type WeighedLine,
} from '../../core/recipe/weighed.js';
import { worksheet, type WorksheetLine } from '../../core/recipe/worksheet.js';
import { Refusal } from '../../core/refusal.js';
import { makeLot, type Taking } from '../../store/acts/make-lot.js';
import { nextBatch } from '../../store/questions/batches.js';
import { containerFacts } from '../../store/questions/containers.js';
import { componentViews } from '../../store/questions/components.js';
import { knownPreparations, preparationOf } from '../../store/questions/preparations.js';
import { catalogue, needReagent } from '../../store/questions/reagents.js';
import { needRecipe } from '../../store/questions/recipes.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { PreparationReadingRow, PreparationRow, type RecipeRow } from '../../store/rows/preparations.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class PreparationsService {
  constructor(private readonly store: Store) {}

  async list({ laboratoryId }: Acting, { recipe, take, after }: PreparationQueryDto): Promise<PreparationListDto> {
    const items = await this.store.read(laboratoryId, (view) => knownPreparations(view, { recipe, take, after }));
    return { items, next: items.length === take ? (items.at(-1)?.lotId ?? null) : null };
  }

  preparation({ laboratoryId }: Acting, lotId: string): Promise<PreparationDto> {
    return this.store.read(laboratoryId, (view) => shown(view, lotId));
  }

  /** Keeps what was made here: its lot and containers, what was really weighed, and what it takes from stock. */
  async make(acting: Acting, body: NewPreparationDto, key?: string): Promise<PreparationDto> {
    const write = async (unit: Unit): Promise<string> => {
      checkQuantity('the volume made', body.volume, 'volume');
      const row = body.recipe === undefined ? null : await needRecipe(unit, body.recipe);
      const recipe = row?.content ?? null;
      const { code: reagent } = await needReagent(unit, reagentOf(body, recipe));
      const known = new Map((await catalogue(unit)).map((each) => [each.code, each]));
      const lines = recipe ? await byWorksheet(unit, body, recipe, known) : await freely(unit, body);
      const amounts = amountsOf(body);
      checkContainersMade(amounts, body.volume);
      const { lot } = await makeLot(unit, {
        reagent,
        number: body.number ?? (await nextBatch(unit, reagent)),
        source: (await unit.need(PersonRow, { id: unit.personId }, 'person')).name,
        life: lifeOf(body, recipe),
        strength: body.strength ?? recipe?.strength,
        storage: body.storage ?? recipe?.storage,
        takings: lines.takings,
        containers: body.containers.map(({ label }, n) => ({
          ...(label !== undefined && { label }),
          size: written(amounts[n] as Quantity),
          amount: amounts[n] as Quantity,
        })),
      });
      const { at, personId } = unit;
      await unit.insert(PreparationRow, {
        lotId: lot.id,
        recipeId: row?.id ?? null,
        at,
        personId,
        volume: { ...body.volume },
        lines: lines.weighed,
      });
      await takeReadings(unit, lot.id, recipe, body.readings ?? []);
      unit.about('lot', lot.id, { reagent, number: lot.number, recipe: row?.code ?? null });
      return lot.id;
    };
    return this.preparation(acting, await this.store.change(acting, 'preparation.made', write, onceOf(key, body)));
  }

  /** Keeps readings that are taken later, such as the colour on the next day. */
  async read(acting: Acting, lotId: string, { readings }: NewReadingsDto, key?: string): Promise<PreparationDto> {
    await this.store.change(
      acting,
      'preparation.read',
      async (unit) => {
        const { recipe } = await preparationOf(unit, lotId);
        await takeReadings(unit, lotId, recipe?.content ?? null, readings);
        unit.about('lot', lotId, { readings: readings.map(({ id }) => id) });
        return null;
      },
      onceOf(key, { lotId, readings }),
    );
    return this.preparation(acting, lotId);
  }
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}

function reagentOf({ reagent }: NewPreparationDto, recipe: WrittenRecipe | null): string {
  if (recipe) {
    if (reagent === undefined || reagent === recipe.reagent) return recipe.reagent;
    throw refused('other-reagent', 'reagent', `The recipe ${recipe.code} makes ${recipe.reagent}; leave reagent out.`);
  }
  if (reagent !== undefined) return reagent;
  throw refused('no-reagent', 'reagent', 'reagent is missing; say what comes of it, or name a recipe.');
}

function lifeOf({ life }: NewPreparationDto, recipe: WrittenRecipe | null): string {
  const found = life ?? recipe?.life.duration;
  if (found !== undefined) return found;
  throw refused('no-life', 'life', 'life is missing; give how long the preparation keeps, such as P7D.');
}

/** What each container holds: as told, or the whole volume in the only one. */
function amountsOf({ containers, volume }: NewPreparationDto): Quantity[] {
  return containers.map(({ amount }, n) => {
    if (amount) return { value: amount.value, unit: amount.unit };
    if (containers.length === 1) return { value: volume.value, unit: volume.unit };
    throw refused(
      'no-amount',
      `containers.${n}.amount`,
      'amount is missing; say what each of several containers holds.',
    );
  });
}

function written({ value, unit }: Quantity): string {
  return `${value} ${unit}`;
}

interface Lines {
  weighed: WeighedLine[];
  takings: Taking[];
}

/** The lines of a worksheet with what was really taken for each; refuses a line that is missing, unknown or off. */
async function byWorksheet(
  unit: Unit,
  { volume, usedAtCel, lines: given }: NewPreparationDto,
  recipe: WrittenRecipe,
  known: ReadonlyMap<string, Reagent>,
): Promise<Lines> {
  const sheet = worksheet(recipe, volume, usedAtCel === undefined ? {} : { usedAtCel });
  const odd = given.findIndex(
    ({ line }, n) => given.findIndex((each) => each.line === line) !== n || !sheet.some((each) => each.line === line),
  );
  if (odd >= 0) {
    const message = `line ${given[odd]?.line ?? 'without a number'} is not on the worksheet, or stands twice; it has the lines 1 to ${sheet.length}.`;
    throw refused('unknown-line', `lines.${odd}.line`, message);
  }
  const holding = await reagentsIn(unit, given);
  const found: Lines = { weighed: [], takings: [] };
  for (const line of sheet) {
    const index = given.findIndex((each) => each.line === line.line);
    const entry = given[index];
    const water = known.get(line.takes)?.kind === 'water';
    if (!entry || entry.taken.length === 0) {
      if (water) {
        found.weighed.push(weighedLine(line, line.takes, entry));
        continue;
      }
      const at = index < 0 ? 'lines' : `lines.${index}.taken`;
      throw refused(
        'line-missing',
        at,
        `Line ${line.line}, ${known.get(line.takes)?.name ?? line.takes}: scan the container it was taken from and enter the amount.`,
      );
    }
    const wanted = [line.takes, ...line.instead.map((other) => other.takes)];
    const takes = wanted.find((code) => code === holding.get(entry.taken[0]?.container ?? '')) ?? line.takes;
    const at = `lines.${index}`;
    const sum = sumOf(entry.taken.map(({ quantity }) => quantity));
    if (!line.makeUpTo) checkWeighed(line, takes, sum, entry.reason, `${at}.reason`);
    found.takings.push(...takingsOf(entry, index, takes === line.takes ? wanted : [takes]));
    found.weighed.push(weighedLine(line, takes, entry));
  }
  return found;
}

function weighedLine(line: WorksheetLine, takes: string, entry: NewWeighedLineDto | undefined): WeighedLine {
  const planned = takes === line.takes ? line.amount : line.instead.find((other) => other.takes === takes)?.amount;
  return {
    line: line.line,
    takes,
    planned: planned && !line.makeUpTo ? { ...planned } : null,
    taken: (entry?.taken ?? []).map(({ container, quantity }) => ({
      containerId: container,
      quantity: { ...quantity },
    })),
    ...(entry?.poured && { poured: { ...entry.poured } }),
    ...(entry?.reason !== undefined && { reason: entry.reason }),
  };
}

/** What was made without a recipe: each line is what it was taken from. */
async function freely(unit: Unit, { lines }: NewPreparationDto): Promise<Lines> {
  if (!lines.some(({ taken }) => taken.length > 0)) {
    throw refused('no-components', 'lines', 'lines is empty; name the containers that it is made of.');
  }
  const holding = await reagentsIn(unit, lines);
  return {
    weighed: lines.map(({ taken, poured, reason }, n) => ({
      line: n + 1,
      takes: holding.get(taken[0]?.container ?? '') ?? 'water',
      planned: null,
      taken: taken.map(({ container, quantity }) => ({ containerId: container, quantity: { ...quantity } })),
      ...(poured && { poured: { ...poured } }),
      ...(reason !== undefined && { reason }),
    })),
    takings: lines.flatMap((line, n) => takingsOf(line, n)),
  };
}

function takingsOf({ taken }: NewWeighedLineDto, index: number, wanted?: string[]): Taking[] {
  return taken.map(({ container, quantity }, n) => ({
    containerId: container,
    quantity: { value: quantity.value, unit: quantity.unit },
    ...(wanted && { wanted }),
    at: `lines.${index}.taken.${n}`,
  }));
}

/** The reagent in each container that is named. */
async function reagentsIn(view: View, lines: readonly NewWeighedLineDto[]): Promise<Map<string, string>> {
  const ids = lines.flatMap(({ taken }) => taken.map(({ container }) => container));
  return new Map((await containerFacts(view, ids)).map(({ id, reagent }) => [id, reagent]));
}

async function takeReadings(
  unit: Unit,
  lotId: string,
  recipe: WrittenRecipe | null,
  readings: NewReadingsDto['readings'],
): Promise<void> {
  const { at, personId } = unit;
  for (const [n, given] of readings.entries()) {
    const reading = judgeReading(recipe?.readings ?? [], given, `readings.${n}`);
    await unit.insert(PreparationReadingRow, { lotId, at, personId, reading });
  }
}

async function shown(view: View, lotId: string): Promise<PreparationDto> {
  const { row, recipe, lot, decisions, containers, readings } = await preparationOf(view, lotId);
  const asked = recipe?.content.readings ?? [];
  const components = await componentViews(view, lotId);
  const codes = new Set([
    lot.reagentCode,
    ...row.lines.map(({ takes }) => takes),
    ...components.map(({ reagent }) => reagent),
  ]);
  const known = new Map((await catalogue(view)).map((each) => [each.code, each]));
  const name = (code: string): string => known.get(code)?.name ?? code;
  const unit = known.get(lot.reagentCode)?.unit ?? USUAL_UNIT;
  return {
    lotId,
    number: lot.number,
    reagent: lot.reagentCode,
    name: name(lot.reagentCode),
    strength: lot.strength,
    storage: lot.storage,
    standing: decisions.at(-1)?.standing ?? 'quarantined',
    limits: lot.limits,
    usableUntil: usableUntil(lot.limits),
    containers: containers.map(({ id, label, micro }) => ({
      id,
      label,
      amount: micro === null ? null : quantityOf(micro, unit),
    })),
    ...recipeOf(recipe),
    volume: row.volume,
    at: row.at,
    personId: row.personId,
    lines: row.lines.map(({ taken, ...line }) => ({ ...line, taken: taken.map(({ quantity }) => quantity) })),
    components,
    asked,
    readings: readings.map(({ at, personId, reading }) => ({ ...reading, at, personId })),
    open: openReadings(
      asked,
      readings.map(({ reading }) => reading),
    ),
    names: Object.fromEntries([...codes].map((code) => [code, name(code)])),
  };
}

function recipeOf(recipe: RecipeRow | null): Pick<PreparationDto, 'recipe' | 'recipeName'> {
  return { recipe: recipe?.code ?? null, recipeName: recipe?.content.name ?? null };
}
