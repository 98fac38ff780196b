import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type {
  DeviationAct,
  DeviationActData,
  DeviationActKind,
  DeviationSubject,
  ResultEffect,
} from '../../core/deviations/deviation.js';
import type { Finding } from '../../core/gate/finding.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { RunRow } from './runs.entity.js';

/** Work that was not done, or did not come out, as it should; where it stands is derived from its acts. */
@Entity('deviation')
@Index('deviation_number', ['laboratoryId', 'number'], { unique: true })
@Index('deviation_about', ['laboratoryId', 'subject', 'subjectId'])
@Index('deviation_run', ['runId'])
export class DeviationRow extends FactRow {
  /** What people call it by: counted up from 1 in each laboratory. */
  @Column('integer')
  number: number;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('text')
  subject: DeviationSubject;

  /** Id of what it was opened from: of a finding its run; null of a described one. */
  @Column('text', { nullable: true })
  subjectId: string | null;

  /** The finding as the gate told it then. */
  @Column('simple-json', { nullable: true })
  finding: Finding | null;

  /** The run that it happened in. */
  @ForeignKey(() => RunRow, { name: 'deviation_in' })
  @Column('text', { nullable: true })
  runId: string | null;

  @Column('text', { nullable: true })
  protocolId: string | null;

  /** The step of the protocol that the finding is about. */
  @Column('text', { nullable: true })
  step: string | null;

  @Column('text')
  title: string;

  @Column('text')
  what: string;

  /** As it was thought when it was opened. */
  @Column('text')
  effect: ResultEffect;
}

@Entity('deviation_act')
@Index('deviation_act_deviation', ['deviationId'])
export class DeviationActRow extends FactRow implements DeviationAct {
  @ForeignKey(() => DeviationRow, { name: 'deviation_act_of' })
  @Column('text')
  deviationId: string;

  @Column('text')
  kind: DeviationActKind;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('simple-json')
  data: DeviationActData;
}
