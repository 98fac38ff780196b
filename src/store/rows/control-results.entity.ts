import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { CaseMeaning, FailureActKind, FailureEnd } from '../../core/controls/failure.js';
import type { CriterionReading, ReadingKind } from '../../core/controls/result.js';
import type { RuleWeights } from '../../core/controls/rules.js';
import type { LimitsPoints, LimitsSource, MarkKind } from '../../core/controls/series.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { FileRow } from './files.entity.js';
import { RunEventRow, RunRow } from './runs.entity.js';

/** A number that a control gives again and again, at one of its levels. */
@Entity('control_series')
@Index('control_series_code', ['laboratoryId', 'code', 'level'], { unique: true })
export class SeriesRow extends FactRow {
  /** Levels of one control share it. */
  @Column('text')
  code: string;

  @Column('text')
  level: string;

  @Column('text')
  title: string;

  /** UCUM code. */
  @Column('text')
  unit: string;

  /** The protocol whose control it judges; null when it judges none, such as a thermometer's series. */
  @Column('text', { nullable: true })
  protocolId: string | null;

  /** Id of the protocol's control requirement that a value answers. */
  @Column('text', { nullable: true })
  requirement: string | null;

  /** What a picture is measured for, when its values come from pictures. */
  @Column('text', { nullable: true })
  metric: string | null;

  @Column('simple-json')
  rules: RuleWeights;
}

/** Other rules for a series from then on; the last ones count. */
@Entity('control_rules')
@Index('control_rules_series', ['seriesId'])
export class SeriesRulesRow extends FactRow {
  @ForeignKey(() => SeriesRow, { name: 'control_rules_of' })
  @Column('text')
  seriesId: string;

  @Column('simple-json')
  rules: RuleWeights;

  @Column('text')
  reason: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

@Entity('control_value')
@Index('control_value_series', ['seriesId', 'at', 'id'])
@Index('control_value_run', ['runId'])
export class ControlValueRow extends FactRow {
  @ForeignKey(() => SeriesRow, { name: 'control_value_of' })
  @Column('text')
  seriesId: string;

  /** In the unit of the series. */
  @Column('double precision')
  value: number;

  /** As it was given, when in another unit, such as '12 ug/L'. */
  @Column('text', { nullable: true })
  given: string | null;

  @Column('text')
  at: Instant;

  /** Values of one batch, measured together, share it. */
  @Column('text')
  batch: string;

  @ForeignKey(() => RunRow, { name: 'control_value_in' })
  @Column('text', { nullable: true })
  runId: string | null;

  /** The picture that it was measured in. */
  @ForeignKey(() => FileRow, { name: 'control_value_from' })
  @Column('text', { nullable: true })
  fileId: string | null;

  @Column('simple-json', { nullable: true })
  lots: Record<string, string> | null;

  @Column('text', { nullable: true })
  reason: string | null;

  @Column('text', { nullable: true })
  personId: string | null;
}

/** Signed limits of a series from an instant on, with the values they were computed from. */
@Entity('control_limits')
@Index('control_limits_series', ['seriesId'])
export class LimitsRow extends FactRow {
  @ForeignKey(() => SeriesRow, { name: 'control_limits_of' })
  @Column('text')
  seriesId: string;

  @Column('text')
  source: LimitsSource;

  /** They judge values measured from then on. */
  @Column('text')
  since: Instant;

  @Column('double precision')
  mean: number;

  @Column('double precision')
  sd: number;

  /** How many values they were computed from. */
  @Column('integer')
  n: number;

  /** Fewer values or days than limits should stand on. */
  @Column('boolean')
  provisional: boolean;

  @Column('simple-json')
  points: LimitsPoints;

  @Column('text')
  reason: string;

  @Column('text')
  at: Instant;

  @Column('simple-json')
  signature: Signature;
}

/** Something that happened to a control's level and stands on its chart. */
@Entity('control_mark')
@Index('control_mark_series', ['seriesId'])
export class SeriesMarkRow extends FactRow {
  @ForeignKey(() => SeriesRow, { name: 'control_mark_of' })
  @Column('text')
  seriesId: string;

  @Column('text')
  kind: MarkKind;

  @Column('text')
  at: Instant;

  @Column('text')
  text: string;

  @Column('text')
  personId: string;
}

/** One reading of a control, or what a value of a series says of it. */
@Entity('control_result')
@Index('control_result_protocol', ['protocolId', 'requirement', 'stainedAt'])
@Index('control_result_day', ['laboratoryId', 'day'])
@Index('control_result_run', ['runId'])
@Index('control_result_event', ['eventId'])
export class ControlResultRow extends FactRow {
  /** The event of the run that told of it; null when a value without a run did. */
  @ForeignKey(() => RunEventRow, { name: 'control_result_by' })
  @Column('text', { nullable: true })
  eventId: string | null;

  @ForeignKey(() => RunRow, { name: 'control_result_in' })
  @Column('text', { nullable: true })
  runId: string | null;

  @Column('text')
  protocolId: string;

  @Column('text', { nullable: true })
  revisionId: string | null;

  @Column('text')
  requirement: string;

  @Column('text', { nullable: true })
  subjectId: string | null;

  @Column('text')
  reading: ReadingKind;

  @Column('text')
  at: Instant;

  @Column('text')
  stainedAt: Instant;

  @Column('text')
  day: string;

  @Column('boolean')
  passed: boolean;

  @Column('text')
  observed: string;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('simple-json')
  lots: Record<string, string>;

  @Column('simple-json', { nullable: true })
  criteria: CriterionReading[] | null;

  /** Ids of files. */
  @Column('simple-json', { nullable: true })
  pictures: string[] | null;

  @ForeignKey(() => ControlValueRow, { name: 'control_result_value' })
  @Column('text', { nullable: true })
  valueId: string | null;
}

/** A correction of a reading; of several the last one counts. */
@Entity('control_result_change')
@Index('control_result_change_result', ['resultId'])
export class ControlResultChangeRow extends FactRow {
  @ForeignKey(() => ControlResultRow, { name: 'control_result_change_of' })
  @Column('text')
  resultId: string;

  @Column('boolean')
  withdrawn: boolean;

  /** When it was really read; null when it was withdrawn. */
  @Column('text', { nullable: true })
  at: Instant | null;

  /** The laboratory's local day of that. */
  @Column('text', { nullable: true })
  day: string | null;

  @Column('text')
  reason: string;

  @Column('text', { nullable: true })
  personId: string | null;
}

/** What was done about a failed control. */
@Entity('failure_act')
@Index('failure_act_result', ['resultId'])
export class FailureActRow extends FactRow {
  @ForeignKey(() => ControlResultRow, { name: 'failure_act_of' })
  @Column('text')
  resultId: string;

  @Column('text')
  kind: FailureActKind;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  /** The cause that was found, the action taken, or the reason of the end. */
  @Column('text')
  text: string;

  /** The later result that passed. */
  @ForeignKey(() => ControlResultRow, { name: 'failure_act_repeat' })
  @Column('text', { nullable: true })
  repeatId: string | null;

  @Column('text', { nullable: true })
  ended: FailureEnd | null;

  /** What an end without a repeat means for each specimen or slide. */
  @Column('simple-json', { nullable: true })
  cases: CaseMeaning[] | null;

  @Column('simple-json', { nullable: true })
  signature: Signature | null;
}
