import { Column, Entity, Index, PrimaryColumn } from 'typeorm';
import type { AlertKind } from '../../core/alerts/matter.js';
import type { Instant } from '../../core/time/instant.js';

/** A matter that holds now and was told; gone as soon as it no longer holds, so that its return is told anew. */
@Entity('alert')
@Index('alert_matter', ['laboratoryId', 'matter'], { unique: true })
export class AlertRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  /** What it is about: 'lot expiring:<lot>'. */
  @Column('text')
  matter: string;

  @Column('text')
  kind: AlertKind;

  /** When it was first seen to hold. */
  @Column('text')
  since: Instant;

  /** The notice that told it. */
  @Column('text')
  noticeId: string;
}

/** A message on its way out, and what became of it. */
@Entity('mail')
@Index('mail_at', ['laboratoryId', 'at'])
export class MailRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  subject: string;

  @Column('text')
  text: string;

  @Column('integer')
  attempts: number;

  @Column('text', { nullable: true })
  sentAt: Instant | null;

  /** What the mail server said when it was tried last. */
  @Column('text', { nullable: true })
  error: string | null;
}

/** A person's address of the calendar feed. Who knows the address reads the feed, so only its hash is kept. */
@Entity('calendar_link')
@Index('calendar_link_token', ['tokenHash'], { unique: true })
export class CalendarLinkRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  personId: string;

  /** SHA-256 of the token. */
  @Column('text')
  tokenHash: string;

  @Column('text')
  madeAt: Instant;

  @Column('text', { nullable: true })
  revokedAt: Instant | null;
}
