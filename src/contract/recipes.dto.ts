import { ApiPropertyOptional } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayMinSize, Equals, IsArray, IsIn, IsString, Length, Matches } from 'class-validator';
import { FIGURE_STATUSES, type FigureStatus } from '../core/protocol/protocol.js';
import type { AcceptanceReading, BufferForms, RecipeList, WrittenLine, WrittenRecipe } from '../core/recipe/recipe.js';
import { DURATION } from './catalogue.dto.js';
import { QuantityDto } from './quantity.dto.js';
import { Amount, Finite, Id, Many, MayBeAbsent, Names, One, SOURCE_KEY, Text } from './shape.js';

/** A list of sentences. */
function Sentences(): PropertyDecorator {
  const rules = [IsArray(), ArrayMaxSize(20), IsString({ each: true }), Length(1, 500, { each: true })];
  return (target, property) => rules.forEach((rule) => rule(target, property));
}

export class DilutionDto {
  @One(() => QuantityDto) from: QuantityDto;
  @One(() => QuantityDto) to: QuantityDto;
}

export class FormDto {
  @Id() takes: string;
  @Text(100) formula: string;
}

export class WrittenLineDto implements WrittenLine {
  /** Code of the reagent; another recipe may make it. */
  @Id() takes: string;
  /** For the volume that the recipe makes. */
  @MayBeAbsent() @One(() => QuantityDto) amount?: QuantityDto;
  /** A weaker solution of a stock: how much of it is reckoned by C1 V1 = C2 V2. */
  @MayBeAbsent() @One(() => DilutionDto) dilute?: DilutionDto;
  /** The concentration that is to come of it: the mass is reckoned by the formula. */
  @MayBeAbsent() @One(() => QuantityDto) weigh?: QuantityDto;
  /** The mix is made up with it to the whole volume. */
  @MayBeAbsent() @Equals(true) makeUpTo?: true;
  /** Formula of what stands in the bottle, water of hydration included. */
  @MayBeAbsent() @Text(100) formula?: string;
  /** Other forms of the substance, of which as many moles are weighed. */
  @MayBeAbsent() @Many(() => FormDto, 10) instead?: FormDto[];
  /** The amount is a guide: it is added until the reading is right. */
  @MayBeAbsent() @Equals(true) untilReading?: true;
  @MayBeAbsent() @Text(500) how?: string;
}

export class BufferFormsDto implements BufferForms {
  @One(() => FormDto) acid: FormDto;
  @One(() => FormDto) base: FormDto;
  @Finite() pKa: number;
  @MayBeAbsent() @Finite() pKaAtCel?: number;
  @MayBeAbsent() @Finite() pKaPerCel?: number;
  @Finite() usedAtCel: number;
  @Finite() pH: number;
  @One(() => QuantityDto) total: QuantityDto;
}

export class AcceptanceReadingDto implements AcceptanceReading {
  @Id() id: string;
  @Text(200) what: string;
  /** UCUM code of the number that is read; absent when a person says yes or no. */
  @MayBeAbsent() @Text(30) unit?: string;
  @MayBeAbsent() @Finite() min?: number;
  @MayBeAbsent() @Finite() max?: number;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
}

export class LifeDto {
  /** ISO 8601 duration, such as P3M. */
  @IsString()
  @Matches(DURATION, { message: '$property must be an ISO 8601 duration such as P30D' })
  duration: string;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
}

/** A recipe as it stands in a file and in a request: its form only; the rules across fields are core's. */
export class RecipeDto implements WrittenRecipe {
  @Id() code: string;
  @Text(200) name: string;
  /** Code of the reagent that comes of it. */
  @Id() reagent: string;
  /** The volume that its amounts are given for. */
  @One(() => QuantityDto) makes: QuantityDto;
  /** As on the label. */
  @MayBeAbsent() @Text(100) strength?: string;
  /** In the order of work. */
  @Many(() => WrittenLineDto, 30) lines: WrittenLineDto[];
  @MayBeAbsent() @One(() => BufferFormsDto) buffer?: BufferFormsDto;
  /** What is done once everything is in, in order. */
  @MayBeAbsent() @Sentences() finish?: string[];
  @MayBeAbsent() @Many(() => AcceptanceReadingDto, 10) readings?: AcceptanceReadingDto[];
  @MayBeAbsent() @Sentences() cautions?: string[];
  @One(() => LifeDto) life: LifeDto;
  /** As on the label. */
  @MayBeAbsent() @Text(200) storage?: string;
  /** By how many per cent an amount may differ without a reason; 2 when left out. */
  @MayBeAbsent() @Amount() tolerance?: number;
  @MayBeAbsent() @Text(1000) note?: string;
  @IsIn(FIGURE_STATUSES) status: FigureStatus;
  @Names(SOURCE_KEY, 'bancroft') sources: string[];
}

export class RecipeListFileDto implements RecipeList {
  @Equals('stainwright-recipes/1') format: 'stainwright-recipes/1';
  @Many(() => RecipeDto, 500) @ArrayMinSize(1) recipes: RecipeDto[];
}

export class RecipeSummaryDto {
  code: string;
  name: string;
  /** Code of the reagent that comes of it. */
  reagent: string;
  makes: QuantityDto;
  strength?: string;
  /** Whether this laboratory wrote it, or the program shipped with it. */
  own: boolean;
}

export class KnownRecipeDto {
  recipe: RecipeDto;
  /** Whether this laboratory wrote it, or the program shipped with it. */
  own: boolean;
  /** When it was written here or loaded. */
  since: string;
  personId: string | null;
  /** Names of what it takes and makes, by code. */
  names: Record<string, string>;
  /** Codes of recipes by which something that it takes can be made here, by the reagent's code. */
  madeBy: Record<string, string[]>;
}

export class WorksheetQueryDto {
  /** How much to make. */
  @One(() => QuantityDto) volume: QuantityDto;
  /** Temperature at which a buffer will be used; the recipe's when left out. */
  @MayBeAbsent() @Finite() usedAtCel?: number;
}

export class UsableContainerDto {
  id: string;
  label: string;
  reagent: string;
  lotId: string;
  lotNumber: string;
  /** What it holds by the ledger; null when nobody said. */
  onHand: QuantityDto | null;
  usableUntil: string | null;
  opened: boolean;
  /** How much of the line to take from it, first expired first out; absent when it is not needed. */
  @ApiPropertyOptional({ type: () => QuantityDto }) take?: QuantityDto;
}

export class WorksheetFormDto {
  takes: string;
  formula: string;
  amount: QuantityDto;
}

export class WithinDto {
  least: number;
  most: number;
}

export class DilutesDto {
  from: QuantityDto;
  to: QuantityDto;
  diluentMl: number;
}

export class WorksheetLineDto {
  /** Counted from 1, in the order of work. */
  line: number;
  takes: string;
  name: string;
  /** Comes from the tap and needs no container. */
  water: boolean;
  /** Of what the mix is made up with, the volume to reach. */
  amount: QuantityDto;
  makeUpTo: boolean;
  untilReading: boolean;
  /** What needs no reason, in the unit of the amount; null where the amount is no target. */
  within: WithinDto | null;
  formula: string | null;
  mmolPerL: number | null;
  instead: WorksheetFormDto[];
  dilutes: DilutesDto | null;
  how: string | null;
  /** Containers in stock that it can be taken from, first expired first. */
  containers: UsableContainerDto[];
  /** What no container covers, in the unit of the amount. */
  short: QuantityDto | null;
}

export class HazardDto {
  agent: string;
  codes: string[];
  signal: string;
  advice?: string;
}

export class WorksheetDto {
  recipe: RecipeDto;
  volume: QuantityDto;
  lines: WorksheetLineDto[];
  /** What is dangerous in what goes in, from the catalogue. */
  hazards: HazardDto[];
}

export class NewSerialDilutionDto {
  /** Concentration of the stock. */
  @One(() => QuantityDto) stock: QuantityDto;
  /** By which each tube is weaker than the one before. */
  @Finite() factor: number;
  @Finite() tubes: number;
  /** In a tube once mixed. */
  @One(() => QuantityDto) volume: QuantityDto;
}

export class DilutionTubeDto {
  concentration: QuantityDto;
  transferMl: number;
  diluentMl: number;
}

export class SerialDilutionDto {
  tubes: DilutionTubeDto[];
}
