import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { Transform, Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  IsBoolean,
  IsIn,
  IsISO8601,
  IsInt,
  IsString,
  Length,
  Matches,
  Max,
  Min,
} from 'class-validator';
import {
  LOOKBACK_CAUSES,
  LOOKBACK_OUTCOMES,
  type LookbackCause,
  type LookbackOutcome,
} from '../core/lookback/lookback.js';
import { LOT_STANDINGS, type LotStanding } from '../core/lot/lot.js';
import { CONTAINER_CONDITIONS, type ContainerCondition } from '../core/lot/receive.js';
import { RUN_PURPOSES, type RunPurpose } from '../core/run/events.js';
import { ListDto } from './list.dto.js';
import { SignatureDto } from './run-view.dto.js';
import { Many, MayBeAbsent, Text } from './shape.js';

const SUBJECT_KINDS = ['specimen', 'slide', 'control'] as const;
const SUBJECT_ROLES = ['patient', 'control'] as const;

/** A container that a trace came through. */
export class TracedContainerDto {
  id: string;
  label: string;
  @ApiProperty({ enum: CONTAINER_CONDITIONS }) state: ContainerCondition;
  /** Runs on whose tray it stood. */
  runs: number;
}

/** A container's content went into a lot that was made here. */
export class MadeDto {
  /** The container that was taken from. */
  containerId: string;
  /** The lot that was made. */
  lotId: string;
  at: string;
}

/** A lot that a trace came through. */
export class TracedLotDto {
  id: string;
  /** Code of its reagent. */
  reagent: string;
  number: string;
  @ApiProperty({ enum: ['supplied', 'prepared'] }) origin: 'supplied' | 'prepared';
  source: string;
  receivedAt: string;
  @ApiProperty({ enum: LOT_STANDINGS }) standing: LotStanding;
  containers: TracedContainerDto[];
  /** What it was made of, as far as that is on the trace; empty where the trace begins. */
  madeOf: MadeDto[];
}

export class TraceCountsDto {
  containers: number;
  preparations: number;
  runs: number;
  /** Patients' specimens and slides. */
  subjects: number;
  releases: number;
}

/** What a lot is in: its containers, what was made of it, and how much that touches. */
export class LotTraceDto {
  /** Ids of the lots at which the trace begins. */
  roots: string[];
  counts: TraceCountsDto;
  /** The lots where it begins, and all that were made of them. */
  lots: TracedLotDto[];
}

export class TracedReleaseDto {
  id: string;
  /** Id of the protocol's release point. */
  point: string;
  kind: string;
  at: string;
  /** Who signed it. */
  name: string;
}

export class TracedSubjectDto {
  id: string;
  label: string;
  @ApiProperty({ enum: SUBJECT_KINDS }) kind: (typeof SUBJECT_KINDS)[number];
  description: string;
  @ApiProperty({ enum: SUBJECT_ROLES }) role: (typeof SUBJECT_ROLES)[number];
  releases: TracedReleaseDto[];
}

export class TracedRunDto {
  id: string;
  /** Title of its protocol. */
  title: string;
  station: string;
  @ApiProperty({ enum: RUN_PURPOSES }) purpose: RunPurpose;
  startedAt: string;
  /** Who started it. */
  personId: string;
  /** Containers on its tray that the trace came through. */
  containerIds: string[];
  subjects: TracedSubjectDto[];
}

export class TracedRunListDto {
  items: TracedRunDto[];
  /** What to ask `after` for more; null at the end. */
  next: string | null;
}

/** From a specimen back to what it was stained with. */
export class SubjectTraceDto {
  /** It and the slides cut from it. */
  subjects: TracedSubjectDto[];
  /** The runs that it or its slides were in. */
  runs: TracedRunDto[];
  /** The lots on their trays, what those were made of, and so on back to what was bought. */
  lots: TracedLotDto[];
}

export class NewRecallDto {
  /** The lot as it is in stock; or give gtin and number. */
  @MayBeAbsent() @IsString() @Length(1, 64) lotId?: string;
  /** The product's number: 8, 12, 13 or 14 digits. */
  @MayBeAbsent()
  @IsString()
  @Matches(/^(\d{8}|\d{12,14})$/, { message: '$property must be 8, 12, 13 or 14 digits' })
  gtin?: string;
  /** The lot number as printed. */
  @MayBeAbsent() @Text(40) number?: string;
  @Text(500) reason: string;
  /** What the maker or supplier wrote, or where it stands. */
  @MayBeAbsent() @Text(4000) notice?: string;
  /** The notice as a file that was sent before. */
  @MayBeAbsent() @IsString() @Length(1, 64) fileId?: string;
}

export class RecallDto {
  id: string;
  /** Code of the reagent. */
  reagent: string;
  number: string;
  gtin: string | null;
  at: string;
  personId: string;
  reason: string;
  notice: string | null;
  fileId: string | null;
  /** Lots that it set aside as what is recalled. */
  shipments: string[];
  /** Lots that it set aside as made of it. */
  preparations: string[];
  lookbackId: string;
}

export class RecallListDto {
  items: RecallDto[];
  next: string | null;
}

/** Somebody who must know of a recall. */
export class ConcernedDto {
  /** Null for somebody without an account. */
  personId: string | null;
  name: string;
  /** Runs that they did with it. */
  ran: number;
  /** Releases that they signed of such runs. */
  released: number;
  /** When and how they were told last; null while they were not. */
  told: ToldDto | null;
}

export class ToldDto {
  at: string;
  how: string;
  /** Who told them. */
  byName: string;
}

/** A recall with all that it touches now. */
export class RecallViewDto extends RecallDto {
  trace: LotTraceDto;
  people: ConcernedDto[];
}

export class NewToldDto {
  /** Who was told; or give a name for somebody without an account. */
  @MayBeAbsent() @IsString() @Length(1, 64) personId?: string;
  @MayBeAbsent() @Text(100) name?: string;
  /** By what way, such as 'by telephone, read back'. */
  @Text(200) how: string;
  /** When; now when left out. */
  @MayBeAbsent() @IsISO8601({ strict: true, strictSeparator: true }) @Length(20, 35) at?: string;
}

export class LookbackDto {
  id: string;
  @ApiProperty({ enum: LOOKBACK_CAUSES }) cause: LookbackCause;
  /** Id of the recall, of the control's result, or of the run. */
  causeId: string;
  at: string;
  personId: string | null;
  reason: string;
  /** Patients' specimens and slides that it touches, one a run. */
  touched: number;
  answered: number;
  /** How it was closed; null while it is open. */
  closed: LookbackCloseDto | null;
}

export class LookbackCloseDto {
  at: string;
  reason: string;
  signature: SignatureDto;
}

export class LookbackListDto {
  items: LookbackDto[];
  next: string | null;
}

export class LookbackQueryDto extends ListDto {
  /** Those that are open, which come first, or those that are closed. */
  @ApiPropertyOptional({ enum: ['open', 'closed'] })
  @MayBeAbsent()
  @IsIn(['open', 'closed'])
  state?: 'open' | 'closed';
}

export class LookbackItemsQueryDto {
  /** How many at most. */
  @ApiPropertyOptional()
  @MayBeAbsent()
  @Type(() => Number)
  @IsInt()
  @Min(1)
  @Max(200)
  take: number = 50;
  /** The `next` of the part before. */
  @MayBeAbsent() @Text(140) after?: string;
  /** Only what nobody has answered yet. */
  @ApiPropertyOptional()
  @MayBeAbsent()
  @Transform(({ value }: { value: unknown }) => (value === 'true' ? true : value === 'false' ? false : value))
  @IsBoolean()
  waiting?: boolean;
}

export class LookbackAnswerDto {
  @ApiProperty({ enum: LOOKBACK_OUTCOMES }) outcome: LookbackOutcome;
  reason: string;
  at: string;
  personId: string;
}

/** One specimen or slide in one run that a lookback touches. */
export class LookbackItemDto {
  runId: string;
  subjectId: string;
  /** Title of the run's protocol. */
  title: string;
  station: string;
  startedAt: string;
  subject: TracedSubjectDto;
  /** Why it is touched. */
  why: string;
  /** The answer that counts; null while it is in question. */
  answer: LookbackAnswerDto | null;
}

export class LookbackItemListDto {
  items: LookbackItemDto[];
  next: string | null;
}

export class TouchedDto {
  @IsString() @Length(1, 64) runId: string;
  @IsString() @Length(1, 64) subjectId: string;
}

export class NewLookbackAnswersDto {
  /** What is answered alike. */
  @Many(() => TouchedDto, 500) @ArrayMinSize(1) @ArrayMaxSize(500) items: TouchedDto[];
  @IsIn(LOOKBACK_OUTCOMES) outcome: LookbackOutcome;
  /** What it means for the case. */
  @Text(1000) reason: string;
}

export class NewLookbackCloseDto {
  @Text(1000) reason: string;
  /** The signer's own, asked again at each signature. */
  @IsString() @Length(1, 200) password: string;
}
