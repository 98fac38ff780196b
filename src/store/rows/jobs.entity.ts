import { Column, Entity, Index, PrimaryColumn } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';

/** A job queued by the act that made it necessary. It announces; it never decides. */
@Entity('job')
@Index('job_due', ['state', 'dueAt'])
export class JobRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  name: string;

  /** The id of the thing that the handler loads anew. */
  @Column('text')
  target: string;

  @Column('text')
  dueAt: Instant;

  @Column('text')
  state: 'waiting' | 'handed' | 'done' | 'failed';

  @Column('integer')
  attempts: number;

  @Column('text', { nullable: true })
  error: string | null;
}

/** Something a person should know; one per matter. */
@Entity('notice')
@Index('notice_matter', ['laboratoryId', 'matter'], { unique: true })
export class NoticeRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  /** What it is about, so that the same matter is told once: 'step-over:<event>'. */
  @Column('text')
  matter: string;

  @Column('text')
  at: Instant;

  @Column('text')
  text: string;

  @Column('text', { nullable: true })
  runId: string | null;

  /** Page where it is dealt with, when that is no run: '/stock/recalls/<id>'. */
  @Column('text', { nullable: true })
  path: string | null;

  /** Whom it concerns; null concerns everybody. */
  @Column('text', { nullable: true })
  personId: string | null;

  @Column('text', { nullable: true })
  seenBy: string | null;

  @Column('text', { nullable: true })
  seenAt: Instant | null;

  /** Since when it no longer holds; null while it may. */
  @Column('text', { nullable: true })
  overAt: Instant | null;
}
