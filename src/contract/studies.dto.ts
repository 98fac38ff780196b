import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsIn,
  IsInt,
  IsString,
  Length,
  Max,
  Min,
} from 'class-validator';
import {
  type Criteria,
  type Design,
  STUDY_KINDS,
  type StudyKind,
  type StudyResults,
} from '../core/study/acceptance.js';
import { LOT_STANDINGS, type LotStanding } from '../core/lot/lot.js';
import { ListDto } from './list.dto.js';
import { SignatureDto } from './run-view.dto.js';
import { Amount, Finite, Many, MayBeAbsent, One, Text } from './shape.js';

const QUESTIONS = ['agreement', 'equivalence'] as const;

/** What the number of pairs is reckoned from. */
export class DesignGoalDto {
  @IsIn(QUESTIONS) question: (typeof QUESTIONS)[number];
  /** Agreement: at least this share of all material agrees, shown with `confidence` though `disagreeing` pairs do not. */
  @MayBeAbsent() @Amount() @Max(0.999) claim?: number;
  @MayBeAbsent() @Amount() @Max(0.9999) confidence?: number;
  @MayBeAbsent() @IsInt() @Min(0) @Max(50) disagreeing?: number;
  /** Equivalence: the margin around 0, the SD of paired differences, and the power. */
  @MayBeAbsent() @Amount() margin?: number;
  @MayBeAbsent() @Amount() sd?: number;
  @MayBeAbsent() @Amount() @Max(0.9999) power?: number;
}

export class DesignDto {
  /** Left out, it is reckoned from `from`. */
  @MayBeAbsent() @IsInt() @Min(3) @Max(5000) pairs?: number;
  @MayBeAbsent() @One(() => DesignGoalDto) from?: DesignGoalDto;
  /** Why so many, in words. */
  @Text(500) reason: string;
}

export class CriteriaDto {
  /** Readings: the least agreement, the least lower end of its 95 % interval, the least kappa. */
  @MayBeAbsent() @Amount() @Max(1) agreement?: number;
  @MayBeAbsent() @Amount() @Max(1) lowerLimit?: number;
  @MayBeAbsent() @Amount() @Max(1) kappa?: number;
  /** Numbers: limits for the mean difference, old lot minus new. */
  @MayBeAbsent() @Finite() low?: number;
  @MayBeAbsent() @Finite() high?: number;
}

export class NewStudyDto {
  /** The lot to be accepted, and the one in use. */
  @Text(64) lotId: string;
  @Text(64) oldLotId: string;
  @Text(64) protocolId: string;
  @IsIn(STUDY_KINDS) kind: StudyKind;
  /** What is compared, such as 'nuclear staining'. */
  @Text(100) measurand: string;
  /** UCUM code of numbers. */
  @MayBeAbsent() @Text(40) unit?: string;
  /** Of pictures, when the numbers come from them: such as 'dab.mean'. */
  @MayBeAbsent() @Text(60) metric?: string;
  /** Of readings, from the least to the most. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMinSize(2)
  @ArrayMaxSize(10)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 40, { each: true })
  categories?: string[];
  @One(() => DesignDto) design: DesignDto;
  @One(() => CriteriaDto) criteria: CriteriaDto;
}

export class NewPairDto {
  /** The block or slide, by its label or in words without a patient. */
  @Text(100) material: string;
  /** A number, or the position of a category counted from 0; left out when a picture says it. */
  @MayBeAbsent() @Finite() old?: number;
  @MayBeAbsent() @Finite() new?: number;
  /** Measured pictures that say the numbers. */
  @MayBeAbsent() @Text(64) oldPictureId?: string;
  @MayBeAbsent() @Text(64) newPictureId?: string;
  @MayBeAbsent() @Text(64) oldRunId?: string;
  @MayBeAbsent() @Text(64) newRunId?: string;
}

export class NewPairsDto {
  @Many(() => NewPairDto, 500) @ArrayMinSize(1) pairs: NewPairDto[];
}

export class NewExclusionDto {
  @Text(500) reason: string;
}

const DECISIONS = ['accepted', 'rejected'] as const;

export class NewStudyDecisionDto {
  @IsIn(DECISIONS) standing: (typeof DECISIONS)[number];
  @Text(1000) reason: string;
  /** Why it is decided with fewer pairs than planned, or accepted though a criterion is not met. */
  @MayBeAbsent() @Text(1000) deviation?: string;
  @Text(200) password: string;
}

export class StudyQueryDto extends ListDto {
  /** Id of the new lot. */
  @MayBeAbsent() @Text(64) lotId?: string;
}

export class StudyPairDto {
  id: string;
  material: string;
  old: number;
  new: number;
  oldRunId: string | null;
  newRunId: string | null;
  oldFileId: string | null;
  newFileId: string | null;
  at: string;
  personId: string;
  /** Why it does not count. */
  excluded: string | null;
}

export class StudyLotDto {
  id: string;
  number: string;
  /** Code of its reagent. */
  reagent: string;
  @ApiProperty({ enum: LOT_STANDINGS }) standing: LotStanding;
}

export class StudyDecisionDto {
  @ApiProperty({ enum: DECISIONS }) standing: (typeof DECISIONS)[number];
  reason: string;
  deviation: string | null;
  at: string;
  @ApiProperty({ type: Object }) results: StudyResults;
  signature: SignatureDto;
}

export class StudyDto {
  id: string;
  lot: StudyLotDto;
  oldLot: StudyLotDto;
  protocolId: string;
  @ApiProperty({ enum: STUDY_KINDS }) kind: StudyKind;
  measurand: string;
  unit: string | null;
  metric: string | null;
  categories: string[] | null;
  @ApiProperty({ type: Object }) design: Design;
  @ApiProperty({ type: Object }) criteria: Criteria;
  at: string;
  personId: string;
  /** How many pairs count. */
  counted: number;
  pairs: StudyPairDto[];
  /** Reckoned anew; null with fewer than three pairs. */
  @ApiProperty({ type: Object, nullable: true }) results: StudyResults | null;
  @ApiPropertyOptional({ type: () => StudyDecisionDto }) decision?: StudyDecisionDto;
}

export class StudyListDto {
  items: StudyDto[];
  next: string | null;
}

export class PlannedDto {
  pairs: number;
}
