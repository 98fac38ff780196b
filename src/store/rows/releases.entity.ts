import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { Signature } from '../../core/record/signature.js';
import type { ReleaseHold } from '../../core/release/release.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { ReleaseRow, RunRow } from './runs.entity.js';

/** A release taken back, signed. It stays readable, with this beside it. */
@Entity('release_withdrawal')
@Index('release_withdrawal_release', ['releaseId'])
export class ReleaseWithdrawalRow extends FactRow {
  @ForeignKey(() => ReleaseRow, { name: 'release_withdrawal_of' })
  @Column('text')
  releaseId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  reason: string;

  /** Whom the withdrawal was told to, and how. */
  @Column('text')
  told: string;

  @Column('simple-json')
  signature: Signature;
}

/** A person's word that the result of a specimen or slide waits, or need not wait any longer; the last one counts. */
@Entity('release_hold')
@Index('release_hold_run', ['runId'])
export class ReleaseHoldRow extends FactRow implements ReleaseHold {
  @ForeignKey(() => RunRow, { name: 'release_hold_in' })
  @Column('text')
  runId: string;

  @Column('text')
  subjectId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('boolean')
  holds: boolean;

  @Column('text')
  reason: string;
}
