import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { LookbackCause, LookbackOutcome } from '../../core/lookback/lookback.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/**
 * A question on earlier work, opened in the transaction of what raised it. What it touches is traced from the facts when
 * it is read; only answers are stored.
 */
@Entity('lookback')
@Index('lookback_cause', ['cause', 'causeId'])
export class LookbackRow extends FactRow {
  @Column('text')
  cause: LookbackCause;

  /** Id of the lot that was recalled, or of the control's reading that failed. */
  @Column('text')
  causeId: string;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('text')
  reason: string;
}

/** What was decided on one specimen or slide that a lookback touches; the last one counts. */
@Entity('lookback_answer')
@Index('lookback_answer_lookback', ['lookbackId'])
export class LookbackAnswerRow extends FactRow {
  @ForeignKey(() => LookbackRow, { name: 'lookback_answer_of' })
  @Column('text')
  lookbackId: string;

  @Column('text')
  runId: string;

  @Column('text')
  subjectId: string;

  @Column('text')
  outcome: LookbackOutcome;

  @Column('text')
  reason: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** The signed end of a lookback. */
@Entity('lookback_close')
@Index('lookback_close_lookback', ['lookbackId'])
export class LookbackCloseRow extends FactRow {
  @ForeignKey(() => LookbackRow, { name: 'lookback_close_of' })
  @Column('text')
  lookbackId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  reason: string;

  @Column('simple-json')
  signature: Signature;
}
