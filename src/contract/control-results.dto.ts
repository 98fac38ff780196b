import { IsIn, IsInt, IsString, Length, Max, MaxLength, Min } from 'class-validator';

import { Type } from 'class-transformer';
import { FAILURE_ENDS, type FailureActKind, type FailureEnd } from '../core/controls/failure.js';

import type { ReadingKind, SecondReader } from '../core/controls/result.js';

import { SignatureDto } from './run-view.dto.js';
import { CriterionReadingDto } from './run-events.dto.js';
import { IsInstant, Many, MayBeAbsent, Text } from './shape.js';

/** Which results; a period is of the staining. */
export class ControlResultQueryDto {
  /** Id of a protocol. */
  @MayBeAbsent()
  @Text(64)
  protocol?: string;

  /** Id of a requirement of a control plan. */
  @MayBeAbsent()
  @Text(64)
  requirement?: string;

  /** Id of a run. */
  @MayBeAbsent()
  @Text(64)
  run?: string;

  /** Stained at or after this instant; a month ago when left out. */
  @MayBeAbsent()
  @IsInstant()
  from?: string;

  /** Stained before this instant. */
  @MayBeAbsent()
  @IsInstant()
  to?: string;
}

/** Who read a control when a second reader or an agreement came to the first reading. */
export class ControlReadingDto {
  id: string;
  reading: ReadingKind;
  at: string;
  passed: boolean;
  observed: string;
  personId: string | null;
  /** Name of the reader. */
  person: string | null;
  criteria: CriterionReadingDto[] | null;
  pictures: string[] | null;
}

export class ControlResultDto {
  /** Id of the first reading. */
  id: string;
  runId: string | null;
  protocolId: string;
  /** Title of the protocol. */
  title: string;
  requirement: string;
  /** What was expected of it when it was stained; null when nobody says. */
  expected: string | null;
  subjectId: string | null;
  /** Text of the control material's label. */
  label: string | null;
  at: string;
  stainedAt: string;
  day: string;
  passed: boolean;
  observed: string;
  second: SecondReader;
  readings: ControlReadingDto[];
  /** Ids of the pictures of all readings. */
  pictures: string[];
  /** Lot by reagent code. */
  lots: { [reagent: string]: string };
  valueId: string | null;
}

export class ControlResultListDto {
  /** The newest first. */
  items: ControlResultDto[];
}

export class LotCriterionDto {
  criterion: string;
  judged: number;
  mean: number;
  poor: number;
}

/** How one lot stained: its controls in a period. */
export class LotResultsDto {
  reagent: string;
  lotId: string;
  /** Number as printed. */
  number: string;
  source: string;
  results: number;
  failed: number;
  /** Of each criterion: how often it was judged, the mean of its grades (pass 3, fail 0), how often it was below what passes. */
  criteria: LotCriterionDto[];
  firstAt: string;
  lastAt: string;
}

export class LotResultsListDto {
  items: LotResultsDto[];
}

export class FailureChoiceDto {
  /** Only failures that are not closed, or all; all when left out. */
  @MayBeAbsent()
  @IsIn(['open', 'all'])
  state?: 'open' | 'all';
}

export class FailureQueryDto extends FailureChoiceDto {
  /** How many at most. */
  @MayBeAbsent()
  @Type(() => Number)
  @IsInt()
  @Min(1)
  @Max(200)
  take?: number;

  /** The `next` of the part before. */
  @MayBeAbsent()
  @Text(64)
  after?: string;
}

export class CaseMeaningDto {
  @Text(64) runId: string;
  @Text(64) subjectId: string;

  /** What the end of the failure means for this case. */
  @IsString()
  @Length(3, 500)
  meaning: string;
}

export class FailureActDto {
  id: string;
  kind: FailureActKind;
  at: string;
  personId: string;
  person: string;
  text: string;
  repeatId: string | null;
  ended: FailureEnd | null;
  cases: CaseMeaningDto[] | null;
  signature: SignatureDto | null;
}

export class FailureDto {
  /** Id of the result that failed. */
  id: string;
  result: ControlResultDto;
  state: 'open' | FailureEnd;
  acts: FailureActDto[];
}

export class FailureListDto {
  items: FailureDto[];
  next: string | null;
}

export class CoveredReleaseDto {
  id: string;
  point: string;
  kind: string;
  at: string;
  /** Who released it. */
  name: string;
}

export class CoveredSubjectDto {
  subjectId: string;
  label: string;
  description: string;
  releases: CoveredReleaseDto[];
  todo: 'look at the released result again' | 'hold it until a repeat passed';
  /** What the lookback says of it; null while nobody answered. */
  outcome: string | null;
}

export class CoveredRunDto {
  runId: string;
  startedAt: string;
  station: string;
  title: string;
  subjects: CoveredSubjectDto[];
}

export class FailureStoryDto extends FailureDto {
  lookbackId: string | null;
  /** The last control that passed before it with its lots. */
  lastPassing: ControlResultDto | null;
  /** The first one that passed after it. */
  firstPassing: ControlResultDto | null;
  covers: CoveredRunDto[];
  /** Later results that passed and may be named as the repeat. */
  repeats: ControlResultDto[];
}

export class NewFailureActDto {
  @IsIn(['cause', 'action', 'repeat'])
  kind: 'cause' | 'action' | 'repeat';

  /** The cause that was found, the action that was taken, or what the repeat showed. */
  @IsString()
  @Length(3, 1000)
  text: string;

  /** Id of the later result that passed; only for a repeat. */
  @MayBeAbsent()
  @Text(64)
  repeatId?: string;
}

export class NewFailureCloseDto {
  @IsIn(FAILURE_ENDS)
  ended: FailureEnd;

  @IsString()
  @Length(3, 1000)
  reason: string;

  /** Needed for each case that the lookback has no answer for when it ends as withdrawn or not repeatable. */
  @MayBeAbsent()
  @Many(() => CaseMeaningDto, 2000)
  cases?: CaseMeaningDto[];

  @IsString()
  @MaxLength(200)
  password: string;
}
