import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsString,
  Matches,
  Max,
  MaxLength,
  Min,
} from 'class-validator';
import { SAMPLED, type Sampled } from '../core/ask/sampled.js';
import { COUNT_NAMES, type CountName, type TopicName, TOPICS } from '../core/ask/topics.js';
import type { CompetenceStanding } from '../core/competence/competence.js';
import { type GrantStanding, REVIEW_AREAS, type ReviewArea } from '../core/people/review.js';
import { type Role, ROLES } from '../core/people/roles.js';
import { FindingDto, SignatureDto } from './run-view.dto.js';
import { ID, MayBeAbsent, Names, RecordNumber, Text } from './shape.js';

const DAY = /^\d{4}-\d\d-\d\d$/;
const A_DAY = { message: '$property must be a day such as 2026-11-30' };
const STANDINGS = ['to come', 'valid', 'ended', 'revoked'] as const satisfies GrantStanding[];

/** Access to a part of the record for a reviewer. */
export class NewReviewGrantDto {
  @Text(64) personId: string;
  /** First local day of the records that may be seen. */
  @Matches(DAY, A_DAY) fromDay: string;
  /** Last local day of them. */
  @Matches(DAY, A_DAY) toDay: string;
  /** First local day of the access. */
  @Matches(DAY, A_DAY) validFrom: string;
  /** Last local day of the access. */
  @Matches(DAY, A_DAY) validTo: string;
  /** Ids of protocols; all when left out. */
  @MayBeAbsent() @ArrayMinSize(1) @Names(ID, 'ao-fresh') protocols?: string[];
  /** Parts of the record; all when left out. */
  @ApiPropertyOptional({ enum: REVIEW_AREAS, isArray: true })
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(1)
  @ArrayUnique()
  @IsIn(REVIEW_AREAS, { each: true })
  areas?: ReviewArea[];
  /** For whom and what the review is. */
  @Text(300) reason: string;
}

export class ReviewRevocationDto {
  @Text(300) reason: string;
}

export class ReviewScopeDto {
  /** Records from this instant on. */
  from: string;
  /** Records before this instant. */
  to: string;
  @ApiProperty({ type: [String], nullable: true }) protocols: string[] | null;
  @ApiProperty({ enum: REVIEW_AREAS, isArray: true, nullable: true }) areas: ReviewArea[] | null;
}

export class ReviewGrantDto extends ReviewScopeDto {
  id: string;
  personId: string;
  name: string;
  validFrom: string;
  validUntil: string;
  reason: string;
  at: string;
  /** Name of who gave it. */
  by: string;
  @ApiProperty({ enum: STANDINGS }) standing: GrantStanding;
  revokedAt: string | null;
  revokedReason: string | null;
}

/** What the caller may see of the record; all of it when `grant` is null and nothing is closed. */
export class OwnScopeDto {
  grant: ReviewScopeDto | null;
  /** Until when it may be seen. */
  until: string | null;
  /** Why nothing may be seen. */
  closed: string | null;
}

export class LooksQueryDto {
  /** Id of who looked. */
  @MayBeAbsent() @Text(64) person?: string;
  /** The `next` of the page before. */
  @MayBeAbsent() @RecordNumber() before?: number;
  /** How many at most. */
  @MayBeAbsent() @Type(() => Number) @IsInt() @Min(1) @Max(200) take?: number;
}

export class LookPeriodDto {
  from: string;
  to: string;
}

export class LookDto {
  seq: number;
  at: string;
  personId: string;
  name: string;
  /** A kind of record, or 'question'. */
  kind: string;
  about: string;
  asked: string;
  period: LookPeriodDto | null;
}

export class LooksDto {
  total: number;
  looks: LookDto[];
  next: number | null;
}

/** A period of local days, both included. */
export class PeriodDto {
  /** First local day. */
  @Matches(DAY, A_DAY) from: string;
  /** Last local day, with it. */
  @Matches(DAY, A_DAY) to: string;
}

export class FindQueryDto extends PeriodDto {
  /** What is looked for. */
  @ApiProperty({ enum: TOPICS }) @IsIn(TOPICS) topic: TopicName;
  /** Part of its name, number or label. */
  @IsString() @MaxLength(100) text: string;
}

export class FoundDto {
  id: string;
  label: string;
  detail: string;
}

export class QuestionDto extends PeriodDto {
  /** What is asked about. */
  @ApiProperty({ enum: TOPICS }) @IsIn(TOPICS) topic: TopicName;
  /** Id of what is asked about; of a day, the day. */
  @Text(64) about: string;
}

export class QuestionPageDto extends QuestionDto {
  /** The `next` of the page before; the page then holds nothing but acts. */
  @MayBeAbsent() @RecordNumber() after?: number;
  /** How many at most. */
  @MayBeAbsent() @Type(() => Number) @IsInt() @Min(1) @Max(200) take?: number;
}

export class WholeDto {
  @ApiProperty({ enum: COUNT_NAMES }) what: CountName;
  count: number;
}

/** A count beside what it is a part of. */
export class CountedDto extends WholeDto {
  of: WholeDto | null;
}

export class AskedAboutDto {
  kind: string;
  id: string;
  label: string;
}

export class LineDto {
  seq: number;
  /** When it was recorded. */
  at: string;
  /** When it happened, for what happened at the bench. */
  performedAt: string | null;
  late: boolean;
  what: string;
  who: string | null;
  about: AskedAboutDto;
}

export class LateEntryDto {
  runId: string;
  title: string;
  what: string;
  performedAt: string;
  recordedAt: string;
  who: string;
}

export class AskedExceptionDto {
  reason: string;
  second: SignatureDto;
}

export class AskedReleaseDto {
  id: string;
  runId: string;
  title: string;
  kind: string;
  findings: FindingDto[];
  signature: SignatureDto;
  exception: AskedExceptionDto | null;
}

export class AskedControlDto {
  id: string;
  runId: string;
  title: string;
  requirement: string;
  at: string;
  passed: boolean;
  observed: string;
  who: string | null;
}

export class AskedCompetenceDto {
  protocolId: string;
  title: string;
  runs: number;
  competent: number;
  supervised: number;
  alone: number;
  @ApiProperty({ enum: ['competent', 'in training', 'lapsed', 'to be assessed anew', 'not competent'] })
  standing: CompetenceStanding;
}

/** What the record says about one thing in a period. */
export class AnswerDto {
  about: FoundDto;
  /** The period as instants, its end not included. */
  from: string;
  to: string;
  /** Every act there is, in all pages: 0 when no record exists; null on pages after the first. */
  acts: number | null;
  counts: CountedDto[];
  late: LateEntryDto[];
  releases: AskedReleaseDto[];
  controls: AskedControlDto[];
  competence: AskedCompetenceDto[];
  lines: LineDto[];
  next: number | null;
}

/** A requirement with what proves it in a period. */
export class RequirementDto {
  id: string;
  clause: string;
  asks: string;
  /** Which records prove it. */
  proof: string;
  /** What makes one of them a gap. */
  gap: string;
  @ApiProperty({ enum: ['read in a copy', 'from memory'] }) source: 'read in a copy' | 'from memory';
  @ApiProperty({ enum: ['proven', 'gaps', 'no record'] }) state: 'proven' | 'gaps' | 'no record';
  records: number;
  gaps: number;
}

export class RequirementListDto {
  /** The period as instants, its end not included. */
  from: string;
  to: string;
  requirements: RequirementDto[];
}

export class ProofQueryDto extends PeriodDto {
  /** Only the records that leave a gap, or all; all when left out. */
  @ApiPropertyOptional({ enum: ['gaps', 'all'] }) @MayBeAbsent() @IsIn(['gaps', 'all']) only?: 'gaps' | 'all';
  /** The `next` of the page before. */
  @MayBeAbsent() @Text(300) after?: string;
  /** How many at most. */
  @MayBeAbsent() @Type(() => Number) @IsInt() @Min(1) @Max(200) take?: number;
}

export class ProofRowDto {
  id: string;
  at: string;
  kind: string;
  ref: string;
  what: string;
  gap: boolean;
}

/** A requirement beside the records that prove it. */
export class ProofDto {
  from: string;
  to: string;
  requirement: RequirementDto;
  rows: ProofRowDto[];
  next: string | null;
}

/** What there is to draw from. */
export class PopulationQueryDto extends PeriodDto {
  /** What is drawn from. */
  @ApiProperty({ enum: SAMPLED }) @IsIn(SAMPLED) of: Sampled;
}

export class SampleQueryDto extends PopulationQueryDto {
  /** How many are drawn. */
  @Type(() => Number) @IsInt() @Min(1) @Max(500) n: number;
  /** Letters, digits and hyphens; made at random when left out. */
  @MayBeAbsent()
  @Matches(/^[A-Za-z0-9-]{1,64}$/, { message: '$property must be 1 to 64 letters, digits or hyphens' })
  seed?: string;
}

export class SampleMemberDto {
  id: string;
  at: string;
  kind: string;
  ref: string;
  what: string;
}

export class SampleDto {
  from: string;
  to: string;
  @ApiProperty({ enum: SAMPLED }) of: Sampled;
  seed: string;
  /** How it was drawn. */
  method: string;
  /** How many there were to draw from. */
  population: number;
  /** SHA-256 over the ids of the population in their order as text, a line feed between them. */
  populationHash: string;
  members: SampleMemberDto[];
}

export class KnownSignatureDto {
  id: string;
  at: string;
  personId: string;
  name: string;
  meaning: string;
  what: string;
  kind: string;
  ref: string;
  @ApiProperty({ enum: ROLES, isArray: true }) needs: Role[];
  @ApiProperty({ enum: ROLES, isArray: true }) held: Role[];
  authorised: boolean;
}

export class TenureDto {
  personId: string;
  name: string;
  from: string;
  until: string | null;
}

/** Directors' signatures of a period against when they held the role. */
export class SignaturesDto {
  from: string;
  to: string;
  tenures: TenureDto[];
  total: number;
  outside: number;
  /** Those outside first, then the newest; at most 200. */
  signatures: KnownSignatureDto[];
}
