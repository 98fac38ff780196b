import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { MovementKind } from '../../core/ledger/kinds.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { ContainerRow } from './stock.entity.js';

/** One movement of stock. What a container holds is the sum of its movements; none is ever changed. */
@Entity('movement')
@Index('movement_container', ['containerId', 'seq'])
@Index('movement_reagent_day', ['laboratoryId', 'reagentCode', 'day'])
@Index('movement_run', ['runId'])
@Index('movement_place', ['laboratoryId', 'place'])
@Index('movement_short', ['laboratoryId', 'shortMicro'])
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

/** What a container held by the ledger up to a record number: shortens the sum, and is proven equal to it. */
@Entity('balance')
@Index('balance_container', ['containerId'])
export class BalanceRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'balance_of' })
  @Column('text')
  containerId: string;

  /** The movements of acts up to this number are in it. */
  @Column('integer')
  upTo: number;

  @Column('double precision')
  micro: number;
}

/** What a person found in a container, beside what the ledger said. */
@Entity('stock_count')
@Index('stock_count_container', ['containerId'])
@Index('stock_count_day', ['laboratoryId', 'day'])
export class CountRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'stock_count_of' })
  @Column('text')
  containerId: string;

  @Column('text')
  reagentCode: string;

  @Column('text')
  at: Instant;

  /** The laboratory's local day of `at`. */
  @Column('text')
  day: string;

  @Column('text')
  personId: string;

  /** By the ledger, in millionths of the reagent's declared unit. */
  @Column('double precision')
  expected: number;

  @Column('double precision')
  counted: number;

  /** Counted less expected; the movement of the same act puts the ledger right by it. */
  @Column('double precision')
  variance: number;

  /** Why they differ, as far as it is known; null when they do not. */
  @Column('text', { nullable: true })
  reason: string | null;
}
