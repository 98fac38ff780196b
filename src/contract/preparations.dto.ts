import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { ArrayMinSize, IsBoolean, IsInt, IsString, Matches, Max, Min } from 'class-validator';
import { LOT_STANDINGS, type LotStanding } from '../core/lot/lot.js';
import { ListDto } from './list.dto.js';
import { QuantityDto } from './quantity.dto.js';
import { AcceptanceReadingDto } from './recipes.dto.js';
import { Finite, Many, MayBeAbsent, One, Text } from './shape.js';
import { LimitDto } from './run-view.dto.js';
import { DURATION } from './catalogue.dto.js';

export class TakenDto {
  /** Id of the container. */
  @Text(64) container: string;
  /** What was really weighed or poured from it. */
  @One(() => QuantityDto) quantity: QuantityDto;
}

export class NewWeighedLineDto {
  /** Number of the worksheet's line; absent without a recipe. */
  @MayBeAbsent() @IsInt() @Min(1) @Max(60) line?: number;
  @Many(() => TakenDto, 20) taken: TakenDto[];
  /** Of water from the tap, when it was measured. */
  @MayBeAbsent() @One(() => QuantityDto) poured?: QuantityDto;
  /** Why the amount differs from the worksheet. */
  @MayBeAbsent() @Text(500) reason?: string;
}

export class NewReadingDto {
  /** Id of the recipe's reading. */
  @Text(64) id: string;
  /** Of a number. */
  @MayBeAbsent() @Finite() value?: number;
  /** Of what a person says yes or no to. */
  @MayBeAbsent() @IsBoolean() passed?: boolean;
  @MayBeAbsent() @Text(500) note?: string;
}

export class NewReadingsDto {
  @Many(() => NewReadingDto, 10) @ArrayMinSize(1) readings: NewReadingDto[];
}

export class NewMadeContainerDto {
  /** Text of our own label on it, when it carries one already. */
  @MayBeAbsent() @Text(60) label?: string;
  /** What it holds; the whole volume when it is the only one. */
  @MayBeAbsent() @One(() => QuantityDto) amount?: QuantityDto;
}

export class NewPreparationDto {
  /** Code of the recipe; absent for what is made without one, which needs reagent and life. */
  @MayBeAbsent() @Text(64) recipe?: string;
  /** Code of the reagent that comes of it, without a recipe. */
  @MayBeAbsent() @Text(64) reagent?: string;
  /** What the laboratory calls it; numbered by the day when left out. */
  @MayBeAbsent() @Text(40) number?: string;
  /** How much was made. */
  @One(() => QuantityDto) volume: QuantityDto;
  /** Temperature at which a buffer will be used, when the worksheet was asked for it. */
  @MayBeAbsent() @Finite() usedAtCel?: number;
  @Many(() => NewWeighedLineDto, 60) lines: NewWeighedLineDto[];
  @MayBeAbsent() @Many(() => NewReadingDto, 10) readings?: NewReadingDto[];
  /** ISO 8601 duration for which it may be used; the recipe's when left out. */
  @MayBeAbsent()
  @IsString()
  @Matches(DURATION, { message: '$property must be an ISO 8601 duration such as P7D' })
  life?: string;
  /** As on the label; the recipe's when left out. */
  @MayBeAbsent() @Text(100) strength?: string;
  @MayBeAbsent() @Text(200) storage?: string;
  @Many(() => NewMadeContainerDto, 100) @ArrayMinSize(1) containers: NewMadeContainerDto[];
}

export class ComponentDto {
  containerId: string;
  label: string;
  reagent: string;
  lotId: string;
  lotNumber: string;
  at: string;
  /** How much of it went in; null when nobody said. */
  quantity: QuantityDto | null;
}

export class WeighedLineDto {
  /** Counted from 1. */
  line: number;
  takes: string;
  planned: QuantityDto | null;
  taken: QuantityDto[];
  poured?: QuantityDto;
  reason?: string;
}

export class ReadingTakenDto {
  id: string;
  what: string;
  value?: number;
  unit?: string;
  passed: boolean;
  note?: string;
  at: string;
  personId: string;
}

export class MadeContainerDto {
  id: string;
  label: string;
  /** What it held when it was filled. */
  amount: QuantityDto | null;
}

export class PreparationDto {
  lotId: string;
  number: string;
  reagent: string;
  name: string;
  strength: string | null;
  storage: string | null;
  @ApiProperty({ enum: LOT_STANDINGS }) standing: LotStanding;
  /** Its own life and those of everything in it, earliest first. */
  limits: LimitDto[];
  usableUntil: string | null;
  containers: MadeContainerDto[];
  /** Code of the recipe; null without one. */
  recipe: string | null;
  recipeName: string | null;
  volume: QuantityDto;
  at: string;
  personId: string;
  lines: WeighedLineDto[];
  components: ComponentDto[];
  /** What the recipe asks to be read. */
  asked: AcceptanceReadingDto[];
  /** As they were taken, oldest first. */
  readings: ReadingTakenDto[];
  /** What keeps it from being accepted: readings that are open or did not pass. */
  open: string[];
  /** Names of the reagents by code. */
  names: Record<string, string>;
}

export class PreparationQueryDto extends ListDto {
  /** Id of a recipe. */
  @MayBeAbsent() @Text(64) recipe?: string;
}

export class PreparationSummaryDto {
  lotId: string;
  number: string;
  reagent: string;
  recipe: string | null;
  at: string;
  volume: QuantityDto;
}

export class PreparationListDto {
  items: PreparationSummaryDto[];
  next: string | null;
}

export class NewBathDto {
  /** Code of the reagent that stands in it. */
  @Text(64) reagent: string;
  /** What is poured into it. */
  @Many(() => TakenDto, 20) @ArrayMinSize(1) fills: TakenDto[];
  /** The bench place where it stands. */
  @Text(100) station: string;
  /** The line of baths that it belongs to. */
  @Text(100) series: string;
  /** Place in that line, counted from 1. */
  @IsInt() @Min(1) @Max(99) position: number;
  /** Slides that it may stain before it is changed; the protocol's when left out and a protocol is named. */
  @MayBeAbsent() @IsInt() @Min(1) @Max(1_000_000) maxSlides?: number;
  /** Days that it may stand; the protocol's when left out and a protocol is named. */
  @MayBeAbsent() @IsInt() @Min(0) @Max(3650) maxDays?: number;
  /** ISO 8601 duration after which it is filtered again; P0D is before each day of use. */
  @MayBeAbsent()
  @IsString()
  @Matches(DURATION, { message: '$property must be an ISO 8601 duration such as P0D or P7D' })
  filterEvery?: string;
  /** Id of the protocol whose rule for changing it is taken where none is given. */
  @MayBeAbsent() @Text(64) protocol?: string;
  /** Text of our own label on it, when it carries one already. */
  @MayBeAbsent() @Text(60) label?: string;
}

export class TopUpDto {
  @Many(() => TakenDto, 20) @ArrayMinSize(1) fills: TakenDto[];
}

export class BathNoteDto {
  @MayBeAbsent() @Text(500) reason?: string;
}

export class MoveBathDto {
  @MayBeAbsent() @Text(100) station?: string;
  @MayBeAbsent() @Text(100) series?: string;
  @IsInt() @Min(1) @Max(99) position: number;
  @MayBeAbsent() @Text(500) reason?: string;
}

/** What takes the place of a bath that is emptied. */
export class NextBathDto {
  @Many(() => TakenDto, 20) @ArrayMinSize(1) fills: TakenDto[];
  @MayBeAbsent() @Text(60) label?: string;
}

export class ChangeBathDto {
  @MayBeAbsent() @Text(500) reason?: string;
  /** The one that is made up in its place, by the same rule; nothing stands there when left out. */
  @MayBeAbsent() @One(() => NextBathDto) next?: NextBathDto;
}

export class BathQueryDto {
  /** Only baths of this station, by its name. */
  @MayBeAbsent() @Text(100) station?: string;
}

export class BathActDto {
  kind: string;
  at: string;
  personId: string;
  reason: string | null;
}

export class BathDto {
  /** Id of its container. */
  id: string;
  label: string;
  lotId: string;
  lotNumber: string;
  reagent: string;
  name: string;
  station: string;
  series: string;
  position: number;
  madeAt: string;
  personId: string;
  maxSlides: number | null;
  /** Slides that went through it. */
  passed: number;
  /** Slides that it may still stain. */
  left: number | null;
  filterEvery: string | null;
  filterDueAt: string | null;
  filterDue: boolean;
  /** First instant at which it may no longer be used. */
  changeDueAt: string | null;
  /** What sets that: its life, its load ('slides'), or a component. */
  changeBy: string | null;
  changeDue: boolean;
  /** Within a day, or the last tenth of its slides. */
  soon: boolean;
  usable: boolean;
  reasons: string[];
  /** Everything that went into it. */
  components: ComponentDto[];
  acts: BathActDto[];
}

export class BathRuleDto {
  protocol: string;
  title: string;
  /** The protocol's rule for changing what is shared, in words. */
  text: string;
  @ApiPropertyOptional() maxSlides?: number;
  @ApiPropertyOptional() maxDays?: number;
  filter?: string;
  @ApiProperty() status: string;
}

export class BathRuleQueryDto {
  /** Code of the reagent. */
  @Text(64) reagent: string;
}
