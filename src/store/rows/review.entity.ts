import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { ReviewArea } from '../../core/people/review.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { PersonRow } from './people.entity.js';

/** Access to a part of the record, given to a reviewer for a time. */
@Entity('review_grant')
@Index('review_grant_person', ['personId'])
export class ReviewGrantRow extends FactRow {
  @ForeignKey(() => PersonRow, { name: 'review_grant_to' })
  @Column('text')
  personId: string;

  /** Records from this instant on. */
  @Column('text')
  from: Instant;

  /** Records before this instant. */
  @Column('text')
  to: Instant;

  @Column('text')
  validFrom: Instant;

  @Column('text')
  validUntil: Instant;

  /** Ids of protocols; null for all. */
  @Column('simple-json', { nullable: true })
  protocols: string[] | null;

  /** Null for all. */
  @Column('simple-json', { nullable: true })
  areas: ReviewArea[] | null;

  /** For whom and what the review is. */
  @Column('text')
  reason: string;

  @Column('text')
  at: Instant;

  @Column('text')
  byPersonId: string;
}

/** A grant taken back before its time. */
@Entity('review_grant_end')
@Index('review_grant_end_grant', ['grantId'])
export class ReviewGrantEndRow extends FactRow {
  @ForeignKey(() => ReviewGrantRow, { name: 'review_grant_end_of' })
  @Column('text')
  grantId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  byPersonId: string;

  @Column('text')
  reason: string;
}

/** A reviewer looked at a record or asked a question. */
@Entity('look')
@Index('look_person', ['laboratoryId', 'personId'])
export class LookRow extends FactRow {
  @Column('text')
  personId: string;

  @Column('text')
  grantId: string;

  @Column('text')
  at: Instant;

  /** What was looked at: a kind of record, or 'question'. */
  @Column('text')
  kind: string;

  /** Its id; of a question, what it was about. */
  @Column('text')
  about: string;

  /** How it was asked, such as 'GET /api/runs/:id'. */
  @Column('text')
  asked: string;

  /** The first and last instant of a question's period; null of a record. */
  @Column('simple-json', { nullable: true })
  period: { from: Instant; to: Instant } | null;
}
