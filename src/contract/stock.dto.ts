import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { ArrayMinSize, IsBoolean, IsIn, IsInt, IsISO8601, IsString, Length, Matches, Max, Min } from 'class-validator';
import type { Gs1Contents } from '../core/gs1/reading.js';
import { CONTAINER_STATES, EVIDENCE_KINDS, HOLD_KINDS, INTENDED_USES, LOT_STANDINGS } from '../core/lot/lot.js';
import type { ContainerState, EvidenceKind, HoldKind, IntendedUse, LotEvidence, LotStanding } from '../core/lot/lot.js';
import { SHEET_IDS, type SheetId } from '../core/labels/sheets.js';
import { CONTAINER_CONDITIONS, type ContainerCondition } from '../core/lot/receive.js';
import { ReagentDto } from './catalogue.dto.js';
import { LOT_SHOWS, type LotShow } from '../core/find/lists.js';
import { FindInListDto, ListDto } from './list.dto.js';
import { QuantityDto } from './quantity.dto.js';
import { LimitDto, UnusableReasonDto } from './run-view.dto.js';
import { Many, MayBeAbsent, One, Text } from './shape.js';
import { SubjectSummaryDto } from './specimens.dto.js';

const LABEL_CODES = ['datamatrix', 'qrcode'] as const;
const ORIGINS = ['supplied', 'prepared'] as const;
const SCANNED_KINDS = ['container', 'subject', 'lot', 'reagent', 'unknown'] as const;

/** Text as printed, without spaces before or after it. */
function Printed(max: number): PropertyDecorator {
  const message = `$property must be 1 to ${max} characters as printed, without spaces at its ends`;
  const form = Matches(new RegExp(`^(?=.{1,${max}}$)\\S(.*\\S)?$`), { message });
  return (target, property) => form(target, property);
}

export class NewContainerDto {
  /** Text of our own label on it, when it carries one already. */
  @MayBeAbsent() @Text(60) label?: string;
  /** The maker's serial number. */
  @MayBeAbsent() @Printed(40) serial?: string;
  /** What it holds, such as '500 mL'. */
  @MayBeAbsent() @Text(40) size?: string;
  /** What it holds, for the ledger; read from the size when left out and the size is a quantity. */
  @MayBeAbsent() @One(() => QuantityDto) amount?: QuantityDto;
}

export class NewLotDto {
  /** Code of the reagent in the catalogue. */
  @Text(64) reagent: string;
  /** As printed on the label. */
  @Printed(40) number: string;
  /** The product's number on its bar code: 8, 12, 13 or 14 digits. */
  @MayBeAbsent()
  @IsString()
  @Matches(/^(\d{8}|\d{12,14})$/, { message: '$property must be 8, 12, 13 or 14 digits' })
  gtin?: string;
  /** The supplier. */
  @Text(100) source: string;
  /** As printed, or as set here for a product without one: '2027-03-31', '2027-03' or '2027-03-31T14:30'. */
  @MayBeAbsent() @Text(30) expiry?: string;
  /** ISO 8601 duration of use after opening, such as 'P30D'; the catalogue's when left out. */
  @MayBeAbsent() @Text(30) openedLife?: string;
  /** As on the label, such as '1 %'. */
  @MayBeAbsent() @Text(100) strength?: string;
  /** As on the label, such as '2 to 8 Cel, dark'. */
  @MayBeAbsent() @Text(200) storage?: string;
  /** True when no expiry was printed and the laboratory set this one. */
  @MayBeAbsent() @IsBoolean() expirySetHere?: boolean;
  /** What the maker made it for, as printed. */
  @MayBeAbsent() @IsIn(INTENDED_USES) intendedUse?: IntendedUse;
  /** The kit that it is a part of, by the maker's name for it; together with `kitLot`. */
  @MayBeAbsent() @Printed(100) kit?: string;
  /** The lot number of the whole kit. */
  @MayBeAbsent() @Printed(40) kitLot?: string;
  /** The supplier's product that it came as. */
  @MayBeAbsent() @Text(64) productCode?: string;
  /** What one container cost, in hundredths of the laboratory's currency. */
  @MayBeAbsent() @IsInt() @Min(0) @Max(1_000_000_000) priceCents?: number;
  /** Code of the storage place that its containers were put into. */
  @MayBeAbsent() @Text(40) place?: string;
  @Many(() => NewContainerDto, 200) @ArrayMinSize(1) containers: NewContainerDto[];
}

/** Which lots go into a file: as the page shows them. */
export class LotChoiceDto extends FindInListDto {
  /** Code of a reagent. */
  @MayBeAbsent() @Text(64) reagent?: string;
  /** Number of the lot, as printed. */
  @MayBeAbsent() @Text(40) number?: string;
  /** Which of them: all, or those that the page shows under this word. */
  @ApiPropertyOptional({ enum: LOT_SHOWS }) @MayBeAbsent() @IsIn(LOT_SHOWS) show: LotShow = 'all';
}

export class LotQueryDto extends ListDto {
  /** Code of a reagent. */
  @MayBeAbsent() @Text(64) reagent?: string;
  /** Number of the lot, as printed. */
  @MayBeAbsent() @Text(40) number?: string;
}

/** What a decision rests on. */
export class LotEvidenceDto implements LotEvidence {
  @IsIn(EVIDENCE_KINDS) kind: EvidenceKind;
  /** Id of a file that was kept, such as the certificate. */
  @MayBeAbsent() @Text(64) fileId?: string;
  /** Id of the run in which the control was stained. */
  @MayBeAbsent() @Text(64) runId?: string;
  /** Id of the comparison with the lot before. */
  @MayBeAbsent() @Text(64) studyId?: string;
}

export class NewLotDecisionDto {
  @IsIn(LOT_STANDINGS) standing: LotStanding;
  @Text(500) reason: string;
  /** What it rests on. */
  @MayBeAbsent() @One(() => LotEvidenceDto) evidence?: LotEvidenceDto;
}

export class LabelQueryDto {
  /** The sheet of labels: paper, columns and rows. */
  @IsIn(SHEET_IDS) sheet: SheetId;
  /** The label of the sheet to begin with, counted from 1 row by row. */
  @ApiPropertyOptional() @MayBeAbsent() @Type(() => Number) @IsInt() @Min(1) @Max(200) start: number = 1;
  /** The symbol on it. */
  @ApiPropertyOptional({ enum: LABEL_CODES })
  @MayBeAbsent()
  @IsIn(LABEL_CODES)
  code: (typeof LABEL_CODES)[number] = 'datamatrix';
  /** Id of one container; all of the lot's when left out. */
  @MayBeAbsent() @Text(64) container?: string;
}

export class ContainerQueryDto {
  /** Text of our own label on it. */
  @Text(60) label: string;
}

export class NewContainerStateDto {
  @IsIn(CONTAINER_STATES) state: ContainerState;
  /** When it happened; now when left out. */
  @MayBeAbsent() @IsISO8601({ strict: true, strictSeparator: true }) @Length(20, 35) at?: string;
  @MayBeAbsent() @Text(500) reason?: string;
}

export class ScanDto {
  /** What the scanner sent, or what was typed. */
  @Text(500) text: string;
}

export class ContainerActDto {
  at: string;
  @ApiProperty({ enum: CONTAINER_STATES }) state: ContainerState;
  /** End of the opened life. */
  until: string | null;
  reason: string | null;
  personId: string | null;
}

/** What put a container on hold, and what was decided. */
export class ContainerHoldDto {
  id: string;
  @ApiProperty({ enum: HOLD_KINDS }) kind: HoldKind;
  at: string;
  reason: string;
  /** Whether it may be used after all; null while nobody decided. */
  @ApiProperty({ type: Boolean, nullable: true }) usable: boolean | null;
  @ApiProperty({ type: String, nullable: true }) decidedAt: string | null;
  /** Why it was decided so. */
  @ApiProperty({ type: String, nullable: true }) why: string | null;
  @ApiProperty({ type: String, nullable: true }) personId: string | null;
}

export class ContainerDto {
  id: string;
  lotId: string;
  label: string;
  serial: string | null;
  size: string | null;
  @ApiProperty({ enum: CONTAINER_CONDITIONS }) state: ContainerCondition;
  /** Code of the storage place that it lies in. */
  @ApiProperty({ type: String, nullable: true }) place: string | null;
  /** What is left in it by the ledger; null while neither a receipt nor a count has said. */
  @ApiProperty({ type: QuantityDto, nullable: true }) onHand: QuantityDto | null;
  /** What it held when it came; null when nobody said. */
  @ApiProperty({ type: QuantityDto, nullable: true }) full: QuantityDto | null;
  /** What kept it from being used, earliest first. */
  holds: ContainerHoldDto[];
  /** First instant at which the water over picric acid must have been looked at; null for anything else. */
  @ApiProperty({ type: String, nullable: true }) waterCheckDue: string | null;
  states: ContainerActDto[];
  /** All limits that apply to it, those of its lot included. */
  limits: LimitDto[];
  /** Whether it may be used for patients now. */
  usable: boolean;
  /** Every reason why it may not. */
  reasons: UnusableReasonDto[];
}

export class LotActDto {
  at: string;
  @ApiProperty({ enum: LOT_STANDINGS }) standing: LotStanding;
  reason: string;
  personId: string | null;
  @ApiProperty({ type: LotEvidenceDto, nullable: true }) evidence: LotEvidenceDto | null;
}

/** Another delivery of the same lot. */
export class ShipmentDto {
  id: string;
  receivedAt: string;
  source: string;
  @ApiProperty({ enum: LOT_STANDINGS }) standing: LotStanding;
}

export class LotDto {
  id: string;
  /** Code of its reagent. */
  reagent: string;
  number: string;
  gtin: string | null;
  @ApiProperty({ enum: ORIGINS }) origin: 'supplied' | 'prepared';
  source: string;
  receivedAt: string;
  expiry: string | null;
  openedLife: string | null;
  strength: string | null;
  storage: string | null;
  /** True when no expiry was printed and the laboratory set it. */
  expirySetHere: boolean;
  @ApiProperty({ enum: INTENDED_USES, nullable: true }) intendedUse: IntendedUse | null;
  @ApiProperty({ type: String, nullable: true }) kit: string | null;
  @ApiProperty({ type: String, nullable: true }) kitLot: string | null;
  @ApiProperty({ type: String, nullable: true }) orderId: string | null;
  /** What one container cost, in hundredths of the laboratory's currency. */
  @ApiProperty({ type: Number, nullable: true }) priceCents: number | null;
  /** Other deliveries of the same lot, each of which is checked by itself. */
  shipments: ShipmentDto[];
  /** The limits that hold from its receipt or preparation on, earliest first. */
  limits: LimitDto[];
  /** First instant at which no container of it may be used any more. */
  usableUntil: string | null;
  @ApiProperty({ enum: LOT_STANDINGS }) standing: LotStanding;
  decisions: LotActDto[];
  containers: ContainerDto[];
}

export class LotListDto {
  items: LotDto[];
  /** What to ask `after` for more; null at the end. */
  next: string | null;
}

export class ScanWarningDto {
  code: string;
  message: string;
}

export class Gs1Dto implements Partial<Omit<Gs1Contents, 'elements' | 'warnings'>> {
  gtin?: string;
  lot?: string;
  serial?: string;
  expiry?: string;
}

/** What a scanned text names, and whether it may be used now. */
export class ScannedDto {
  @ApiProperty({ enum: SCANNED_KINDS }) kind: (typeof SCANNED_KINDS)[number];
  /** One sentence for the person who scanned. */
  message: string;
  warnings: ScanWarningDto[];
  /** A person must compare with the print before anything is done with it. */
  needsConfirmation: boolean;
  /** Whether it may be used for patients now; absent for what is not used up at the bench. */
  usable?: boolean;
  reasons?: UnusableReasonDto[];
  container?: ContainerDto;
  lot?: LotDto;
  /** Lots that it may be, when it is not one for sure. */
  candidates?: LotDto[];
  reagent?: ReagentDto;
  subject?: SubjectSummaryDto;
  @ApiPropertyOptional({ type: () => Gs1Dto }) gs1?: Gs1Dto;
}
