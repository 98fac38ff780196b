import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  ArrayMinSize,
  IsArray,
  IsBoolean,
  IsIn,
  IsInt,
  IsNumber,
  IsString,
  Matches,
  ValidateIf,
} from 'class-validator';
import type { Hours } from '../core/controls/calendar.js';
import type { Criterion } from '../core/controls/criteria.js';
import {
  PLAN_TIMES,
  type PlannedClock,
  type PlannedControl,
  type PlanTime,
  USE_COUNTS,
  type UseDefinition,
} from '../core/controls/planned.js';
import { TASK_STATES, type ControlTask, type TaskState } from '../core/controls/task.js';
import { CONTROL_KINDS, type ControlKind, STAIN_CATEGORIES, type StainCategory } from '../core/protocol/protocol.js';
import { Id, Many, MayBeAbsent, One, Text } from './shape.js';

const DAY = /^\d{4}-\d\d-\d\d$/;
const A_DAY = { message: '$property must be a day, such as 2026-12-01' };

function NotNull(): PropertyDecorator {
  return ValidateIf((_object: unknown, value: unknown) => value !== null);
}

export class PlanClockDto implements Omit<PlannedClock, 'clause'> {
  @IsIn(PLAN_TIMES) when: PlanTime;
  /** How many slides or days; only for the clocks that count. */
  @MayBeAbsent() @IsInt() n?: number;
  /** Left out, it is the published clause or 'local procedure'. */
  @MayBeAbsent() @Text(200) clause?: string;
}

export class PlanCriterionDto implements Criterion {
  @Id() code: string;
  @Text(100) title: string;
  @Text(500) expected: string;
  /** What the four grades mean, from 0, the worst, to 3; null where it is pass or fail. */
  @ApiProperty({ type: [String], nullable: true, minItems: 4, maxItems: 4 })
  @NotNull()
  @IsArray()
  @ArrayMinSize(4)
  @ArrayMaxSize(4)
  @IsString({ each: true })
  grades: string[] | null;
  /** The least grade that passes; null where it is pass or fail. */
  @ApiProperty({ type: Number, nullable: true })
  @NotNull()
  @IsIn([0, 1, 2, 3])
  least: 0 | 1 | 2 | 3 | null;
  @Text(300) source: string;
}

export class PlanControlDto implements Omit<PlannedControl, 'clocks'> {
  @Id() id: string;
  @IsIn(CONTROL_KINDS) kind: ControlKind;
  @Text(500) material: string;
  @Text(500) expected: string;
  /** What it is read by; empty for the usual criteria of its category. */
  @Many(() => PlanCriterionDto, 20) criteria: PlanCriterionDto[];
  @IsBoolean() required: boolean;
  @Many(() => PlanClockDto, 10) clocks: PlanClockDto[];
  /** A second person reads it too. */
  @IsBoolean() secondReader: boolean;
  /** A picture is kept with the result. */
  @IsBoolean() pictures: boolean;
}

export class UseDefinitionDto implements UseDefinition {
  /** What one use is, in the director's own words. */
  @Text(500) words: string;
  @IsIn(USE_COUNTS) counts: (typeof USE_COUNTS)[number];
  /** How long a session lasts from the run that carried its controls; only for a session. */
  @MayBeAbsent() @IsNumber({ allowNaN: false, allowInfinity: false }) hours?: number;
}

export class NewControlPlanDto {
  @One(() => UseDefinitionDto) use: UseDefinitionDto;
  @Many(() => PlanControlDto, 40) @ArrayMinSize(1) controls: PlanControlDto[];
  /** Why it is so. */
  @Text(1000) note: string;
}

export class PlanApprovalDto {
  /** First day on which it counts, by the laboratory's calendar. */
  @IsString() @Matches(DAY, A_DAY) effectiveFrom: string;
  @Text(1000) reason: string;
  /** The signer's own, asked again at each signature. */
  @Text(200) password: string;
}

export class PlannedClockDto implements PlannedClock {
  @ApiProperty({ enum: PLAN_TIMES }) when: PlanTime;
  n?: number;
  /** The published clause or the local rule that asks for it. */
  clause: string;
}

export class PlannedControlDto implements PlannedControl {
  id: string;
  @ApiProperty({ enum: CONTROL_KINDS }) kind: ControlKind;
  material: string;
  expected: string;
  criteria: PlanCriterionDto[];
  required: boolean;
  clocks: PlannedClockDto[];
  secondReader: boolean;
  pictures: boolean;
}

export class ControlPlanDto {
  protocolId: string;
  use: UseDefinitionDto;
  controls: PlannedControlDto[];
}

export class PlanSummaryDto {
  protocolId: string;
  title: string;
  @ApiProperty({ enum: STAIN_CATEGORIES }) category: StainCategory;
  @ApiProperty({ enum: ['bedside', 'laboratory'] }) setting: 'bedside' | 'laboratory';
  /** Whether runs can be started on it now. */
  inUse: boolean;
  /** Number of the laboratory's own plan that counts now; null while the published one does. */
  ownPlan: number | null;
  /** Number of a newer plan that waits for its approval or its first day. */
  waiting: number | null;
  /** Its required controls with their clocks, as they count now. */
  controls: PlannedControlDto[];
}

export class PlanVersionDto {
  id: string;
  number: number;
  content: ControlPlanDto;
  contentHash: string;
  at: string;
  person: string | null;
  note: string;
  /** First instant on which it counts; null while nobody approved it. */
  effectiveFrom: string | null;
  approvedAt: string | null;
  approvedBy: string | null;
  reason: string | null;
  /** Whether it counts now. */
  inForce: boolean;
}

export class PlanDto {
  protocolId: string;
  title: string;
  /** What the usual criteria follow. */
  @ApiProperty({ enum: STAIN_CATEGORIES }) category: StainCategory;
  @ApiProperty({ enum: ['bedside', 'laboratory'] }) setting: 'bedside' | 'laboratory';
  /** What the published rules ask, below which no plan may go. */
  published: ControlPlanDto;
  /** What counts now. */
  counting: ControlPlanDto;
  /** The laboratory's own, newest first. */
  versions: PlanVersionDto[];
}

/** A control that stands in a run on a bench and was not read. */
export class UnreadControlDto {
  runId: string;
  subjectId: string;
  station: string;
}

export class ControlTaskDto implements ControlTask {
  key: string;
  protocolId: string;
  /** Title of the protocol. */
  title: string;
  requirement: string;
  @ApiProperty({ enum: CONTROL_KINDS }) kind: ControlKind;
  material: string;
  expected: string;
  clock: string;
  clause: string;
  about: string | null;
  /** What it is about, in words, such as a lot. */
  aboutWords: string | null;
  period: string;
  station: string | null;
  dueFrom: string;
  dueUntil: string | null;
  @ApiProperty({ enum: TASK_STATES }) state: TaskState;
  answeredBy: string | null;
  uncovered: string[];
  /** Controls on a bench now that answer it once they are read. */
  unread: UnreadControlDto[];
}

export class ControlTasksDto {
  /** The local day that was asked for. */
  day: string;
  /** What is overdue first, then what is due, by protocol. */
  tasks: ControlTaskDto[];
}

export class ControlTaskQueryDto {
  /** Only tasks in this state; every state when left out. */
  @ApiPropertyOptional({ enum: TASK_STATES }) @MayBeAbsent() @IsIn(TASK_STATES) state?: TaskState;
  /** Only tasks of this station, by its name. */
  @MayBeAbsent() @Text(100) station?: string;
  /** A local day; today when left out. */
  @MayBeAbsent() @IsString() @Matches(DAY, A_DAY) day?: string;
}

export class DaysWithoutQueryDto {
  /** First local day. */
  @IsString() @Matches(DAY, A_DAY) from: string;
  /** Last local day, with it. */
  @IsString() @Matches(DAY, A_DAY) to: string;
  /** Id of a protocol; all when left out. */
  @MayBeAbsent() @Id() protocol?: string;
}

export class DayOfUseDto {
  day: string;
  /** Runs for patients. */
  uses: number;
  /** Those of them that a clock left without a control, on a day that is over. */
  without: number;
  /** Those of today that still wait for one. */
  waiting: number;
  /** Which controls and clocks left them so: 'daily: each day of use'. */
  missing: string[];
}

export class ProtocolDaysDto {
  protocolId: string;
  title: string;
  daysOfUse: number;
  daysWithout: number;
  uses: number;
  usesWithout: number;
  /** Days of use alone, earliest first. */
  days: DayOfUseDto[];
}

export class DaysWithoutDto {
  from: string;
  to: string;
  /** Days on which the laboratory is closed. */
  closed: string[];
  protocols: ProtocolDaysDto[];
}

export class HoursDto implements Hours {
  @Text(5) from: string;
  @Text(5) to: string;
}

export class HolidayDto {
  @Text(10) day: string;
  @Text(100) name: string;
}

export class WeekdayDto {
  /** Absent on a day on which the laboratory is closed. */
  @MayBeAbsent() @One(() => HoursDto) open?: HoursDto;
}

/** When the laboratory is open, by its own clock. */
export class LaboratoryCalendarDto {
  /** Monday first. */
  @Many(() => WeekdayDto, 7) weekdays: WeekdayDto[];
  @Many(() => HolidayDto, 500) holidays: HolidayDto[];
}
