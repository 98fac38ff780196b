import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';
import type { PackActKind, PackScope } from '../../core/pack/pack.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** An evidence pack that was asked for. */
@Entity('pack')
export class PackRow extends FactRow {
  @Column('text')
  at: Instant;

  /** Null when it was asked for at the command line. */
  @Column('text', { nullable: true })
  personId: string | null;

  @Column('simple-json')
  scope: PackScope;
}

/** What became of a pack; the last one counts. */
@Entity('pack_act')
@Index('pack_act_pack', ['packId'])
export class PackActRow extends FactRow {
  @ForeignKey(() => PackRow, { name: 'pack_act_of' })
  @Column('text')
  packId: string;

  @Column('text')
  kind: PackActKind;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  /** Of making: SHA-256 of the manifest. */
  @Column('text', { nullable: true })
  manifest: string | null;

  /** Of making: the size of the zip file; null for a folder. */
  @Column('double precision', { nullable: true })
  bytes: number | null;

  /** Of failing: why, and what helps. */
  @Column('text', { nullable: true })
  message: string | null;
}

/** How far the making of a pack is; kept by the job that does it. */
@Entity('pack_progress')
export class PackProgressRow {
  @PrimaryColumn('text')
  packId: string;

  @Column('text')
  laboratoryId: string;

  /** What is written now, in words. */
  @Column('text')
  part: string;

  @Column('double precision')
  done: number;

  @Column('double precision')
  total: number;

  /** Which worker is at it, and until when its word holds; a worker that died says nothing more. */
  @Column('text')
  worker: string;

  @Column('text')
  until: Instant;
}
