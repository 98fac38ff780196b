import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, IsArray, IsInt, Max, Min, ValidateBy } from 'class-validator';
import { isInstant } from '../core/time/instant.js';
import { Id, IsInstant, Many, MayBeAbsent, Text } from './shape.js';

/** More are refused with the number allowed; this only keeps a body within reason. */
const MOST_IN_BODY = 1000;
const MOST_STEPS = 200;

export class AskedRunDto {
  /** Chosen by whoever asks; names the run within the plan. */
  @Text(64) id: string;
  @Text(64) revisionId: string;
  @IsInt() @Min(1) @Max(1000) slides: number;
  @MayBeAbsent() @IsInstant() earliestAt?: string;
  @MayBeAbsent() @IsInstant() deadlineAt?: string;
  /** Lower is to end first; 0 when absent. */
  @MayBeAbsent() @IsInt() @Min(0) @Max(9) priority?: number;
}

export class PlanHandsDto {
  @Text(80) name: string;
  @IsInstant() from: string;
  @IsInstant() to: string;
}

export class PlanPlaceDto {
  /** Code of the reagent; every step that uses it needs the place. */
  @Id() reagent: string;
  /** How many racks it takes at a time. */
  @IsInt() @Min(1) @Max(100) racks: number;
}

/** What is to be planned; the runs that stand on the benches are added by the program. */
export class PlanAskedDto {
  @Many(() => AskedRunDto, MOST_IN_BODY) wanted: AskedRunDto[];
  @Many(() => PlanHandsDto, 20) hands: PlanHandsDto[];
  @Many(() => PlanPlaceDto, 50) places: PlanPlaceDto[];
}

export class ProposedRunDto {
  @Text(64) id: string;
  /** Start of each moment, in order. */
  @IsArray()
  @ArrayMaxSize(MOST_STEPS)
  @ValidateBy(
    { name: 'areInstants', validator: { validate: (value) => Array.isArray(value) && value.every(isInstant) } },
    { message: '$property must be instants in UTC with milliseconds, like 2026-11-25T09:08:17.000Z' },
  )
  @ApiProperty({ type: String, isArray: true })
  startsAt: string[];
  /** Whose hands do each moment; null where none are needed. */
  @IsArray()
  @ArrayMaxSize(MOST_STEPS)
  @ValidateBy(
    {
      name: 'areHands',
      validator: {
        validate: (value) =>
          Array.isArray(value) &&
          value.every((each) => each === null || (typeof each === 'string' && each.length <= 80)),
      },
    },
    { message: '$property must be names of hands, or null' },
  )
  @ApiProperty({ type: 'array', items: { type: 'string', nullable: true } })
  hands: (string | null)[];
}

/** A draft that is accepted; it is checked again against what was asked and what goes on now. */
export class NewPlanDto extends PlanAskedDto {
  /** The draft's own instant. */
  @IsInstant() plannedAt: string;
  @Many(() => ProposedRunDto, MOST_IN_BODY) runs: ProposedRunDto[];
}

export class PlanMomentDto {
  /** Id of the step; null for the end of the last one. */
  @ApiProperty({ type: String, nullable: true })
  step: string | null;
  action: string;
  startsAt: string;
  handsOnSec: number;
  @ApiProperty({ type: String, nullable: true })
  hands: string | null;
  /** It had begun when the plan was made. */
  begun: boolean;
}

export class PlanRunDto {
  id: string;
  title: string;
  /** It was on the bench when the plan was made. */
  going: boolean;
  startsAt: string;
  endsAt: string;
  moments: PlanMomentDto[];
}

export class PlanDraftDto {
  @ApiProperty({ enum: ['plan', 'none', 'not found'] })
  answer: 'plan' | 'none' | 'not found';
  /** What the bound says, or what stands in the way. */
  says: string;
  plannedAt: string;
  /** Empty where there is no plan. */
  runs: PlanRunDto[];
  /** When the last run ends. */
  @ApiProperty({ type: String, nullable: true })
  endsAt: string | null;
  /** No plan ends before. */
  @ApiProperty({ type: String, nullable: true })
  boundAt: string | null;
  @ApiProperty({ type: Boolean, nullable: true })
  optimal: boolean | null;
}

/** A run of an accepted plan that was not on the bench yet, and the run that has been started for it since. */
export class PlanWaitingDto {
  id: string;
  title: string;
  revisionId: string;
  slides: number;
  startsAt: string;
  endsAt: string;
  @ApiProperty({ type: String, nullable: true })
  startedRunId: string | null;
}

export class AcceptedPlanDto {
  id: string;
  at: string;
  plannedAt: string;
  person: string;
  wanted: AskedRunDto[];
  hands: PlanHandsDto[];
  places: PlanPlaceDto[];
  runs: PlanRunDto[];
  /** In the order of their starts. */
  waiting: PlanWaitingDto[];
}

export class CurrentPlanDto {
  @ApiProperty({ type: AcceptedPlanDto, nullable: true })
  plan: AcceptedPlanDto | null;
}
