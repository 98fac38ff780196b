import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { IsBooleanString, IsIn, IsISO8601, IsInt, IsString, Length, Matches, Max, Min } from 'class-validator';
import { SHELF_SHOWS, type ShelfShow } from '../core/find/lists.js';
import { HAND_BOOKED, type HandBooked, MOVEMENT_KINDS, type MovementKind } from '../core/ledger/kinds.js';
import { REAGENT_KINDS } from '../core/protocol/catalogue.js';
import type { Reagent } from '../core/protocol/protocol.js';
import { FindInListDto, ListDto } from './list.dto.js';
import { QuantityDto } from './quantity.dto.js';
import { UnusableReasonDto } from './run-view.dto.js';
import { MayBeAbsent, One, Text } from './shape.js';

/** A day of the laboratory, such as 2026-11-25. */
function Day(): PropertyDecorator {
  const form = Matches(/^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/, {
    message: '$property must be a day such as 2026-11-25',
  });
  return (target, property) => form(target, property);
}

function Month(): PropertyDecorator {
  const form = Matches(/^\d{4}-(0[1-9]|1[0-2])$/, { message: '$property must be a month such as 2026-11' });
  return (target, property) => form(target, property);
}

export class NewMovementDto {
  @IsIn(HAND_BOOKED) kind: HandBooked;
  /** Above 0; when stock is adjusted, below 0 for what is missing. */
  @One(() => QuantityDto) amount: QuantityDto;
  /** When it happened; now when left out. */
  @MayBeAbsent() @IsISO8601({ strict: true, strictSeparator: true }) @Length(20, 35) at?: string;
  /** Needed for what is discarded or adjusted. */
  @MayBeAbsent() @Text(500) reason?: string;
}

export class NewCountDto {
  /** What was found, 0 for an empty container. */
  @One(() => QuantityDto) amount: QuantityDto;
  /** Why it is not what the ledger says; needed when it is not. */
  @MayBeAbsent() @Text(500) reason?: string;
}

export class LedgerChoiceDto {
  /** Code of a reagent. */
  @MayBeAbsent() @Text(64) reagent?: string;
  /** Id of a container. */
  @MayBeAbsent() @Text(64) container?: string;
  /** Only movements of this kind. */
  @MayBeAbsent() @IsIn(MOVEMENT_KINDS) kind?: MovementKind;
  /** Id of a run. */
  @MayBeAbsent() @Text(64) run?: string;
  /** First day of the laboratory. */
  @MayBeAbsent() @IsString() @Day() from?: string;
  /** Last day of the laboratory. */
  @MayBeAbsent() @IsString() @Day() to?: string;
}

export class LedgerQueryDto extends LedgerChoiceDto {
  /** How many at most. */
  @ApiPropertyOptional() @MayBeAbsent() @Type(() => Number) @IsInt() @Min(1) @Max(200) take: number = 50;
  /** The `next` of the part before. */
  @MayBeAbsent() @Text(64) after?: string;
  /** How many to leave out before these, for whoever looks somewhere in the middle. */
  @ApiPropertyOptional() @MayBeAbsent() @Type(() => Number) @IsInt() @Min(0) @Max(100_000_000) skip: number = 0;
}

export class MovementDto {
  id: string;
  seq: number;
  @ApiProperty({ enum: MOVEMENT_KINDS }) kind: MovementKind;
  containerId: string;
  /** Text of our own label on it. */
  label: string;
  /** Lot that the container is of. */
  lotId: string;
  lotNumber: string;
  /** Code of what moved. */
  reagent: string;
  /** Signed: below 0 for what left. */
  amount: QuantityDto;
  at: string;
  /** The laboratory's day. */
  day: string;
  /** Name of the person; null when the program booked it. */
  person: string | null;
  runId: string | null;
  /** The preparation or bath that it was taken into. */
  intoLotId: string | null;
  place: string | null;
  reason: string | null;
  /** What was used beyond what the ledger held. */
  short: QuantityDto | null;
}

export class MovementListDto {
  items: MovementDto[];
  next: string | null;
  /** Of all that fit, on whatever part they stand. */
  count: number;
}

/** A movement that was booked, and what is left. */
export class BookedDto {
  movement: MovementDto;
  onHand: QuantityDto;
}

export class OnHandChoiceDto extends FindInListDto {
  /** Which of them: all, or those that the page shows under this word. */
  @ApiPropertyOptional({ enum: SHELF_SHOWS }) @MayBeAbsent() @IsIn(SHELF_SHOWS) show: ShelfShow = 'all';
  /** Code of a reagent. */
  @MayBeAbsent() @Text(64) reagent?: string;
  /** Code of a storage place. */
  @MayBeAbsent() @Text(40) place?: string;
}

export class OnHandQueryDto extends ListDto {
  /** Code of a reagent. */
  @MayBeAbsent() @Text(64) reagent?: string;
  /** Code of a storage place. */
  @MayBeAbsent() @Text(40) place?: string;
}

export class OnHandContainerDto {
  id: string;
  label: string;
  lotId: string;
  lotNumber: string;
  /** As printed. */
  expiry: string | null;
  @ApiProperty({ enum: ['unopened', 'opened'] }) state: 'unopened' | 'opened';
  openedAt: string | null;
  /** Something was taken out of it though nobody recorded its opening. */
  undated: boolean;
  @ApiProperty({ enum: ['bath'], nullable: true, type: String }) vessel: 'bath' | null;
  /** What it holds by the ledger; null while neither a receipt nor a count has said. */
  onHand: QuantityDto | null;
  /** What it held when it came. */
  full: QuantityDto | null;
  /** What runs on the benches have taken and the ledger will book when they are cleared. */
  promised: QuantityDto | null;
  /** Whether it may be used for patients now. That it is not opened yet is no hindrance here. */
  usable: boolean;
  reasons: UnusableReasonDto[];
  /** First instant at which it may no longer be used. */
  usableUntil: string | null;
  /** That instant has come. */
  over: boolean;
  place: string | null;
  /** In hundredths of the currency, by its price and what is left; null without a price. */
  valueCents: number | null;
  countedAt: string | null;
  /** A count is open. */
  countDue: boolean;
}

/** The stock of one reagent; its containers in the order in which they should be taken, those that may not be used last. */
export class OnHandDto {
  reagent: string;
  name: string;
  @ApiProperty({ enum: REAGENT_KINDS }) kind: Reagent['kind'];
  unit: string;
  total: QuantityDto;
  usable: QuantityDto;
  promised: QuantityDto;
  /** In hundredths; containers without a price are left out and counted. */
  valueCents: number;
  unpriced: number;
  /** What of the value lies in containers that are past their end. */
  overCents: number;
  containers: OnHandContainerDto[];
}

export class OnHandListDto {
  items: OnHandDto[];
  next: string | null;
}

export class OpenCountDto {
  containerId: string;
  label: string;
  reagent: string;
  lotNumber: string;
  since: string;
  /** The run that took more than was there on paper. */
  runId: string | null;
  short: QuantityDto | null;
}

export class OpenCountListDto {
  items: OpenCountDto[];
}

export class CountQueryDto extends ListDto {
  /** Code of a reagent. */
  @MayBeAbsent() @Text(64) reagent?: string;
  /** First day of the laboratory. */
  @MayBeAbsent() @IsString() @Day() from?: string;
  /** Last day of the laboratory. */
  @MayBeAbsent() @IsString() @Day() to?: string;
  /** 'true' leaves out counts that found what the ledger said. */
  @MayBeAbsent() @IsBooleanString() onlyVariances?: string;
}

export class CountDto {
  id: string;
  seq: number;
  containerId: string;
  label: string;
  lotNumber: string;
  reagent: string;
  at: string;
  day: string;
  person: string | null;
  expected: QuantityDto;
  counted: QuantityDto;
  /** Counted less expected. */
  variance: QuantityDto;
  reason: string | null;
}

export class CountListDto {
  items: CountDto[];
  next: string | null;
}

export class WasteQueryDto {
  /** First month. */
  @IsString() @Month() from: string;
  /** Last month. */
  @IsString() @Month() to: string;
}

export class MonthOfWasteDto {
  month: string;
  reagent: string;
  name: string;
  /** Thrown away. */
  discarded: QuantityDto;
  /** Past its end and still on the shelf. */
  expired: QuantityDto;
  /** What both cost, in hundredths. */
  cents: number;
  /** Parts without a price. */
  unpriced: number;
}

export class WasteDto {
  items: MonthOfWasteDto[];
}

export class ImportQueryDto {
  /** 'true' only tells what would be taken and what is wrong. */
  @MayBeAbsent() @IsBooleanString() dryRun?: string;
  /** 'true' takes the rows that are right though others are not. */
  @MayBeAbsent() @IsBooleanString() takeRightRows?: string;
  /** How the text is written; UTF-8 when left out, UTF-16 when it says so by its mark. */
  @MayBeAbsent() @IsIn(['utf-8', 'utf-16', 'windows-1252']) encoding?: 'utf-8' | 'utf-16' | 'windows-1252';
}

/** What is wrong with one row of an import. */
export class BadRowDto {
  /** Counted from 1 with the heading as row 1, as a spreadsheet counts. */
  row: number;
  /** Heading of the column. */
  field: string;
  message: string;
}

export class ImportedDto {
  dryRun: boolean;
  /** Rows with something in them. */
  rows: number;
  /** Rows that are right. */
  right: number;
  /** Lots and containers taken, or that would be. */
  lots: number;
  containers: number;
  /** True when anything was taken into stock. */
  taken: boolean;
  bad: BadRowDto[];
}
