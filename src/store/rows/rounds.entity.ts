import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { RoundActData, RoundActKind } from '../../core/external-assessment/round.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A round of samples that an outside body sent to see how the laboratory does. */
@Entity('assessment_round')
@Index('assessment_round_received', ['laboratoryId', 'receivedAt'])
export class RoundRow extends FactRow {
  /** Who sent it, as the laboratory calls them. */
  @Column('text')
  body: string;

  /** The body's own name for the round. */
  @Column('text')
  round: string;

  /** The protocol that is assessed. */
  @Column('text')
  protocolId: string;

  @Column('text')
  receivedAt: Instant;

  /** Until when results must be sent. */
  @Column('text')
  dueAt: Instant;

  @Column('integer')
  samples: number;
}

@Entity('assessment_round_act')
@Index('assessment_round_act_round', ['roundId'])
export class RoundActRow extends FactRow {
  @ForeignKey(() => RoundRow, { name: 'assessment_round_act_of' })
  @Column('text')
  roundId: string;

  @Column('text')
  kind: RoundActKind;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('simple-json')
  data: RoundActData;
}
