import { ApiProperty, IntersectionType } from '@nestjs/swagger';
import { Transform } from 'class-transformer';
import { IsBoolean, IsIn, Matches } from 'class-validator';
import {
  CAUSE_KINDS,
  type CauseKind,
  DEVIATION_ACTS,
  DEVIATION_ENDS,
  DEVIATION_STATES,
  DEVIATION_SUBJECTS,
  type DeviationActKind,
  type DeviationEnd,
  type DeviationState,
  type DeviationSubject,
  type DueItem,
  RESULT_EFFECTS,
  type ResultEffect,
} from '../core/deviations/deviation.js';
import type { Finding } from '../core/gate/finding.js';
import type { Signature } from '../core/record/signature.js';
import { ListDto } from './list.dto.js';
import { FindingDto, SignatureDto } from './run-view.dto.js';
import { MayBeAbsent, Text } from './shape.js';

const Day = (): PropertyDecorator =>
  Matches(/^\d{4}-\d\d-\d\d$/, { message: '$property must be a day such as 2027-03-31' });

/** What an act says that is neither its end nor its reopening. */
export const WORKING_ACTS = DEVIATION_ACTS.filter((kind) => kind !== 'closed' && kind !== 'reopened');

export class DeviationAboutDto {
  /** What kind of thing it is opened from. */
  @IsIn(DEVIATION_SUBJECTS) subject: DeviationSubject;
  /** Of a finding its run; absent of a described one. */
  @MayBeAbsent() @Text(64) subjectId?: string;
  /** Which of the run's findings. */
  @MayBeAbsent() @Text(200) findingId?: string;
}

export class NewDeviationDto extends DeviationAboutDto {
  /** The run in which a described one happened. */
  @MayBeAbsent() @Text(64) runId?: string;
  @Text(120) title: string;
  @Text(2000) what: string;
  @IsIn(RESULT_EFFECTS) effect: ResultEffect;
  /** What was done at once about what had gone wrong. */
  @MayBeAbsent() @Text(2000) correction?: string;
}

export class NewDeviationActDto {
  @IsIn(WORKING_ACTS) @ApiProperty({ enum: WORKING_ACTS }) kind: Exclude<DeviationActKind, 'closed' | 'reopened'>;
  @MayBeAbsent() @Text(2000) text?: string;
  /** Who is to look into it, to act, or to check. */
  @MayBeAbsent() @Text(64) ownerId?: string;
  /** Last local day for it. */
  @MayBeAbsent() @Day() dueDay?: string;
  @MayBeAbsent() @IsIn(RESULT_EFFECTS) effect?: ResultEffect;
  @MayBeAbsent() @IsIn(CAUSE_KINDS) causeKind?: CauseKind;
  @MayBeAbsent() @Text(64) actionId?: string;
  /** First local day on which the check can tell anything. */
  @MayBeAbsent() @Day() notBeforeDay?: string;
  @MayBeAbsent() @IsBoolean() effective?: boolean;
}

export class NewDeviationCloseDto {
  @IsIn(DEVIATION_ENDS) ended: DeviationEnd;
  @Text(2000) reason: string;
  @Text(200) password: string;
}

export class NewDeviationReopenDto {
  @Text(2000) reason: string;
}

const LISTED = ['open', ...DEVIATION_STATES] as const;

/** Which deviations are asked for. */
export class DeviationChoiceDto {
  /** How far they are; `open` is whatever is not closed. */
  @MayBeAbsent() @IsIn(LISTED) state: 'open' | DeviationState = 'open';
  /** Id of who has something to do about it now, or looks into it. */
  @MayBeAbsent() @Text(64) owner?: string;
  /** Only those of which something is overdue now. */
  @MayBeAbsent()
  @Transform(({ value }: { value: unknown }) => (value === 'true' ? true : value === 'false' ? false : value))
  @IsBoolean()
  overdue: boolean = false;
  /** What kind of thing they were opened from. */
  @MayBeAbsent() @IsIn(DEVIATION_SUBJECTS) subject?: DeviationSubject;
  /** Id of what they were opened from. */
  @MayBeAbsent() @Text(64) subjectId?: string;
}

export class DeviationQueryDto extends IntersectionType(DeviationChoiceDto, ListDto) {}

export class DeviationDueDto {
  @ApiProperty({ enum: ['inquiry', 'action', 'check'] }) kind: DueItem['kind'];
  actId: string;
  ownerId: string;
  owner: string;
  what: string;
  due: string;
  /** First instant at which it can be done; only of a check. */
  notBefore: string | null;
  overdue: boolean;
}

export class DeviationDto {
  id: string;
  number: number;
  at: string;
  personId: string;
  person: string;
  @ApiProperty({ enum: DEVIATION_SUBJECTS }) subject: DeviationSubject;
  subjectId: string | null;
  runId: string | null;
  title: string;
  what: string;
  @ApiProperty({ enum: RESULT_EFFECTS }) effect: ResultEffect;
  @ApiProperty({ enum: DEVIATION_STATES }) state: DeviationState;
  @ApiProperty({ enum: DEVIATION_ENDS, nullable: true, type: String }) ended: DeviationEnd | null;
  /** Id and name of who looks into it. */
  ownerId: string | null;
  owner: string | null;
  /** What is to be done about it, the first due first. */
  due: DeviationDueDto[];
  overdue: boolean;
}

export class DeviationListDto {
  /** Open ones by what is due first, closed ones the newest first. */
  items: DeviationDto[];
  next: string | null;
  /** Of all in the laboratory. */
  open: number;
  overdue: number;
}

export class DeviationActDto {
  id: string;
  @ApiProperty({ enum: DEVIATION_ACTS }) kind: DeviationActKind;
  at: string;
  personId: string;
  person: string;
  text?: string;
  ownerId?: string;
  owner?: string;
  due?: string;
  @ApiProperty({ enum: RESULT_EFFECTS, required: false }) effect?: ResultEffect;
  @ApiProperty({ enum: CAUSE_KINDS, required: false }) causeKind?: CauseKind;
  actionId?: string;
  notBefore?: string;
  effective?: boolean;
  @ApiProperty({ enum: DEVIATION_ENDS, required: false }) ended?: DeviationEnd;
  @ApiProperty({ type: () => SignatureDto, required: false }) signature?: Signature;
}

export class DeviationActionDto {
  id: string;
  text: string;
  ownerId: string;
  owner: string;
  due: string;
  /** Null while it is open. */
  doneAt: string | null;
  doneById: string | null;
  doneBy: string | null;
}

export class DeviationCheckDto {
  id: string;
  criterion: string;
  ownerId: string;
  owner: string;
  notBefore: string;
  due: string;
}

export class DeviationStoryDto extends DeviationDto {
  /** What it is about, in words, and the page where that stands; null of a described one. */
  about: string | null;
  path: string | null;
  @ApiProperty({ type: () => FindingDto, nullable: true }) finding: Finding | null;
  protocolId: string | null;
  step: string | null;
  /** Corrective actions that stand since it was last opened. */
  actions: DeviationActionDto[];
  @ApiProperty({ type: () => DeviationCheckDto, nullable: true }) check: DeviationCheckDto | null;
  /** Everything that was done about it, earliest first. */
  acts: DeviationActDto[];
}

export class DeviationSubjectDto {
  about: string;
  path: string;
  /** What a person may call it. */
  title: string;
  runId: string | null;
  /** Deviations that were opened from it. */
  known: DeviationDto[];
}

export class DeviationPersonDto {
  id: string;
  name: string;
}

export class TrendQueryDto {
  /** First local day; the last twelve months when both are left out. */
  @MayBeAbsent() @Day() from?: string;
  /** Last local day, with it. */
  @MayBeAbsent() @Day() to?: string;
}

export class TrendGroupDto {
  key: string;
  name: string;
  deviations: number;
  /** Runs in which they could have happened; null where none can be counted. */
  runs: number | null;
  /** Deviations per run. */
  rate: number | null;
  share: number;
  cumulative: number;
}

export class TrendPointDto {
  count: number;
  size: number;
  value: number | null;
  lcl: number;
  ucl: number;
  beyond: boolean;
  /** Limits are rough: fewer than five are expected. */
  sparse: boolean;
}

export class TrendChartDto {
  centre: number;
  /** One for each month. */
  points: TrendPointDto[];
}

export class DeviationTrendsDto {
  from: string;
  to: string;
  runs: number;
  /** Of runs of the period. */
  deviations: number;
  /** Opened in the period and tied to no run: counted by cause and effect only. */
  withoutRun: number;
  months: string[];
  /** Deviations per run by month; null without runs. */
  @ApiProperty({ type: () => TrendChartDto, nullable: true }) perRun: TrendChartDto | null;
  /** Proportion of runs with a deviation by month. */
  @ApiProperty({ type: () => TrendChartDto, nullable: true }) runsWith: TrendChartDto | null;
  byProtocol: TrendGroupDto[];
  byStep: TrendGroupDto[];
  byRule: TrendGroupDto[];
  /** Each lot that stood on the tray of a run with a deviation. */
  byLot: TrendGroupDto[];
  byCause: TrendGroupDto[];
  byEffect: TrendGroupDto[];
}

export class SupportLineDto {
  personId: string;
  name: string;
  runs: number;
  deviations: number;
  /** So many would be expected of anybody in the same runs. */
  expected: number;
}

export class DeviationSupportDto {
  from: string;
  to: string;
  /** What this is for and what it is not for. */
  purpose: string;
  /** How many people did runs. */
  people: number;
  /** Runs by who assessed the people who did them. */
  byAssessor: TrendGroupDto[];
  /** People with more deviations than the process gives anybody. */
  support: SupportLineDto[];
}
