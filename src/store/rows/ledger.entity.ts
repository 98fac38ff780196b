import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { MovementKind } from '../../core/ledger/movement.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { ContainerRow } from './stock.entity.js';

/** One movement of stock. What a container holds is the sum of its movements; none is ever changed. */
@Entity('movement')
@Index('movement_container', ['containerId'])
@Index('movement_reagent_day', ['laboratoryId', 'reagentCode', 'day'])
@Index('movement_run', ['runId'])
export class MovementRow extends FactRow {
  @Column('text')
  kind: MovementKind;

  @ForeignKey(() => ContainerRow, { name: 'movement_of' })
  @Column('text')
  containerId: string;

  @Column('text')
  reagentCode: string;

  /** Signed amount in millionths of the reagent's declared unit: whole numbers, whose sums a double keeps exactly. */
  @Column('double precision')
  micro: number;

  @Column('text')
  at: Instant;

  /** The laboratory's local day of `at`, '2026-11-25'. */
  @Column('text')
  day: string;

  @Column('text', { nullable: true })
  personId: string | null;

  /** The run that used it. */
  @Column('text', { nullable: true })
  runId: string | null;

  /** The preparation or bath that it was taken into. */
  @Column('text', { nullable: true })
  lotId: string | null;

  /** Code of the place that it was moved to. */
  @Column('text', { nullable: true })
  place: string | null;

  @Column('text', { nullable: true })
  reason: string | null;

  /** What a run used beyond what the ledger held, in millionths; asks for a count. */
  @Column('double precision', { nullable: true })
  shortMicro: number | null;
}
