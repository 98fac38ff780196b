import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { LookbackCause, LookbackOutcome } from '../../core/lookback/lookback.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { RunEventRow, RunRow } from './runs.entity.js';
import { ContainerRow, LotRow } from './stock.entity.js';

/**
 * A question on earlier work, opened in the transaction of what raised it. What it touches is traced from the facts when
 * it is read; only answers are stored.
 */
@Entity('lookback')
@Index('lookback_cause', ['cause', 'causeId'])
export class LookbackRow extends FactRow {
  @Column('text')
  cause: LookbackCause;

  /** Id of the recall, of the control's result that failed, or of the run whose record was corrected. */
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
@Index('lookback_answer_run', ['runId'])
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

/** A lot taken back by its maker or by the laboratory itself, in all shipments that came of it. */
@Entity('recall')
@Index('recall_at', ['laboratoryId', 'at'])
export class RecallRow extends FactRow {
  @Column('text')
  reagentCode: string;

  /** The lot number, as printed. */
  @Column('text')
  number: string;

  @Column('text', { nullable: true })
  gtin: string | null;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('text')
  reason: string;

  /** What the maker or supplier wrote, or where it stands. */
  @Column('text', { nullable: true })
  notice: string | null;

  /** The notice as a file. */
  @Column('text', { nullable: true })
  fileId: string | null;
}

/** A lot that a recall set aside: a shipment of what is recalled, or a preparation that was made of it. */
@Entity('recall_lot')
@Index('recall_lot_recall', ['recallId'])
@Index('recall_lot_lot', ['lotId'])
export class RecallLotRow extends FactRow {
  @ForeignKey(() => RecallRow, { name: 'recall_lot_of' })
  @Column('text')
  recallId: string;

  @ForeignKey(() => LotRow, { name: 'recall_lot_is' })
  @Column('text')
  lotId: string;

  @Column('text')
  part: 'shipment' | 'preparation';
}

/** Somebody was told of a recall: a person of the laboratory, or somebody outside by name. */
@Entity('recall_told')
@Index('recall_told_recall', ['recallId'])
export class RecallToldRow extends FactRow {
  @ForeignKey(() => RecallRow, { name: 'recall_told_of' })
  @Column('text')
  recallId: string;

  /** Who was told; null for somebody without an account. */
  @Column('text', { nullable: true })
  personId: string | null;

  /** The name of who was told. */
  @Column('text')
  name: string;

  /** By what way, such as 'by telephone, read back'. */
  @Column('text')
  how: string;

  @Column('text')
  at: Instant;

  /** Who told them. */
  @Column('text')
  byPersonId: string;
}

/** A container was put on the tray of a run: what leads from a lot to its runs in one join. */
@Entity('tray_use')
@Index('tray_use_container', ['containerId', 'at', 'runId'])
@Index('tray_use_run', ['runId'])
export class TrayUseRow extends FactRow {
  @ForeignKey(() => RunRow, { name: 'tray_use_in' })
  @Column('text')
  runId: string;

  @ForeignKey(() => ContainerRow, { name: 'tray_use_of' })
  @Column('text')
  containerId: string;

  /** The reagent for which it was put there. */
  @Column('text')
  reagentCode: string;

  @ForeignKey(() => RunEventRow, { name: 'tray_use_by' })
  @Column('text')
  eventId: string;

  @Column('text')
  personId: string;

  @Column('text')
  at: Instant;
}
