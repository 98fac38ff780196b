import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsObject,
  IsString,
  Length,
  Max,
  MaxLength,
  Min,
  ValidateBy,
} from 'class-validator';
import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';

import type { Verdict } from '../core/controls/multirule.js';

import { RULES, type Rule, type RuleWeights, type Weight, WEIGHTS } from '../core/controls/rules.js';
import { LIMITS_SOURCES, type LimitsPoints, type LimitsSource, MARKS, type MarkKind } from '../core/controls/series.js';
import { SignatureDto } from './run-view.dto.js';

import { Finite, Id, IsInstant, Many, MayBeAbsent, Text } from './shape.js';

export class SeriesRuleDto {
  @IsIn(RULES)
  rule: Rule;

  @IsIn(['reject', 'warn', 'note'])
  weight: Weight;
}

export class NewSeriesDto {
  @Id()
  code: string;

  @Text(100)
  title: string;

  /** UCUM code, such as {ratio} or Cel. */
  @Text(30)
  unit: string;

  /** Names of the levels that are measured together; one is enough. */
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(6)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 30, { each: true })
  levels: string[];

  /** The protocol whose control it judges. */
  @MayBeAbsent()
  @Text(64)
  protocolId?: string;

  /** The control requirement of that protocol. */
  @MayBeAbsent()
  @Text(64)
  requirement?: string;

  /** What a picture is measured for, when its values come from pictures. */
  @MayBeAbsent()
  @Text(64)
  metric?: string;

  @Many(() => SeriesRuleDto, 14)
  @ArrayUnique((each: SeriesRuleDto) => each.rule)
  rules: SeriesRuleDto[];
}

/** The values that limits were computed from. */
export class LimitsPointsDto implements LimitsPoints {
  seriesId: string;
  from: string;
  to: string;
  /** Values recorded after this number were not among them. */
  upToSeq: number;
  /** Ids of values left out. */
  excluded: string[];
}

export class SeriesLimitsDto {
  id: string;
  seriesId: string;
  level: string;
  source: LimitsSource;
  since: string;
  mean: number;
  sd: number;
  n: number;
  provisional: boolean;
  points: LimitsPointsDto;
  reason: string;
  at: string;
  signature: SignatureDto;
}

export class SeriesMarkDto {
  seriesId: string;
  level: string;
  kind: MarkKind;
  at: string;
  text: string;
}

export class SeriesLevelDto {
  id: string;
  level: string;
}

/** The levels of one control. */
export class SeriesDto {
  code: string;
  title: string;
  unit: string;
  protocolId: string | null;
  requirement: string | null;
  metric: string | null;
  levels: SeriesLevelDto[];
  @ApiProperty({ type: 'object', additionalProperties: { type: 'string', enum: [...WEIGHTS] } })
  rules: RuleWeights;
  /** The oldest decision first. */
  limits: SeriesLimitsDto[];
  marks: SeriesMarkDto[];
}

export class SeriesListDto {
  items: SeriesDto[];
}

export class NewValueDto {
  @Text(30)
  level: string;

  @Finite()
  value: number;

  /** UCUM code when it is not the unit of the series. */
  @MayBeAbsent()
  @Text(30)
  unit?: string;
}

export class NewValuesDto {
  /** Measured together. */
  @Many(() => NewValueDto, 12)
  @ArrayMinSize(1)
  values: NewValueDto[];

  /** When they were measured; now when left out. */
  @MayBeAbsent()
  @IsInstant()
  at?: string;

  @MayBeAbsent()
  @Text(64)
  runId?: string;

  /** The picture that they were measured in. */
  @MayBeAbsent()
  @Text(64)
  fileId?: string;

  /** Lot by reagent code; those on the run's tray when left out. */
  @MayBeAbsent()
  @IsObject()
  @ValidateBy(
    { name: 'lots', validator: { validate: isLots } },
    { message: '$property must name lot ids by reagent code' },
  )
  @ApiProperty({ type: 'object', additionalProperties: { type: 'string' } })
  lots?: Record<string, string>;

  @MayBeAbsent()
  @IsString()
  @Length(3, 500)
  reason?: string;
}

function isLots(value: unknown): boolean {
  const lots = Object.entries(value ?? {});
  return (
    lots.length <= 40 && lots.every(([code, lot]) => code.length <= 64 && typeof lot === 'string' && lot.length <= 64)
  );
}

export class AddedValueDto {
  id: string;
  level: string;
  /** In the unit of the series. */
  value: number;
  /** Null while the level has no limits. */
  verdict: Verdict | null;
  /** Rules that fired, such as '1-3s'. */
  fired: string[];
}

export class AddedValuesDto {
  values: AddedValueDto[];
}

export class NewMarkDto {
  @IsIn(MARKS)
  kind: MarkKind;

  @MayBeAbsent()
  @IsInstant()
  at?: string;

  @IsString()
  @Length(3, 300)
  text: string;
}

export class NewRulesDto {
  @Many(() => SeriesRuleDto, 14)
  @ArrayUnique((each: SeriesRuleDto) => each.rule)
  rules: SeriesRuleDto[];

  @IsString()
  @Length(3, 500)
  reason: string;
}

/** Which values limits are computed from. */
export class LimitsQueryDto {
  /** What the limits rest on. */
  @IsIn(LIMITS_SOURCES)
  source: LimitsSource;

  /** Measured at or after this instant. */
  @IsInstant()
  from: string;

  /** Measured up to and with this instant. */
  @IsInstant()
  to: string;

  /** Ids of values left out, for a cause that was found, joined by commas in an address. */
  @MayBeAbsent()
  @Type(() => String)
  @IsString()
  @MaxLength(4000)
  excluded?: string;
}

export class LimitsProposalDto {
  mean: number;
  sd: number;
  n: number;
  provisional: boolean;
  points: LimitsPointsDto;
  /** The value farthest from the mean, when it lies too far for a normal sample; only an identified cause excludes it. */
  suspect: string | null;
}

export class NewLimitsDto extends LimitsQueryDto {
  /** They judge values measured from then on. */
  @IsInstant()
  since: string;

  @IsString()
  @Length(3, 500)
  reason: string;

  @IsString()
  @MaxLength(200)
  password: string;
}

export class EvaluationQueryDto {
  /** Measured at or after this instant. */
  @MayBeAbsent()
  @IsInstant()
  from?: string;

  /** Measured up to and with this instant. */
  @MayBeAbsent()
  @IsInstant()
  to?: string;

  /** The newest so many values of each level in the period. */
  @MayBeAbsent()
  @Type(() => Number)
  @IsInt()
  @Min(1)
  @Max(2000)
  take?: number;
}

export class FiredDto {
  rule: string;
  levels: string[];
  @ApiProperty({ enum: WEIGHTS })
  weight: Weight;
}

export class JudgedValueDto {
  id: string;
  level: string;
  value: number;
  at: string;
  /** Standard deviations from the mean; null without limits. */
  z: number | null;
  lots: { [reagent: string]: string } | null;
}

export class JudgedBatchDto {
  at: string;
  verdict: Verdict | null;
  fired: FiredDto[];
  values: JudgedValueDto[];
}

export class EvaluationDto {
  series: SeriesDto;
  /** In the order of time. */
  batches: JudgedBatchDto[];
}

/** What all values of a series say, judged anew from the first one. */
export class SeriesHistoryDto {
  values: number;
  batches: number;
  rejected: number;
  warned: number;
  @ApiProperty({ type: 'object', additionalProperties: { type: 'integer' } })
  byRule: Record<string, number>;
  firstAt: string | null;
  lastAt: string | null;
}
