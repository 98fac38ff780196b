import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { TissueMoment } from '../../core/specimen/tissue.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { SubjectRow } from './specimens.entity.js';

/** When a specimen went into fixative or came out of it; of one kind the one that was recorded last counts. */
@Entity('tissue_moment')
@Index('tissue_moment_subject', ['subjectId'])
export class TissueMomentRow extends FactRow {
  @ForeignKey(() => SubjectRow, { name: 'tissue_moment_of' })
  @Column('text')
  subjectId: string;

  @Column('text')
  kind: TissueMoment;

  @Column('text')
  at: Instant;

  /** Code of the fixative, when it went in. */
  @Column('text', { nullable: true })
  fixative: string | null;

  @Column('text', { nullable: true })
  personId: string | null;

  /** Why it is said anew. */
  @Column('text', { nullable: true })
  reason: string | null;
}
