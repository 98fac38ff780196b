import { ApiProperty } from '@nestjs/swagger';
import { ArrayMinSize } from 'class-validator';
import { Ids } from './shape.js';

/** Something a person should know; one for each matter. */
export class NoticeDto {
  id: string;
  /** What it is about, told once: 'step-over:<event>'. */
  matter: string;
  at: string;
  text: string;
  @ApiProperty({ type: String, nullable: true })
  runId: string | null;
  /** Page where it is dealt with, when that is no run. */
  @ApiProperty({ type: String, nullable: true })
  path: string | null;
  /** Whom it concerns; null concerns everybody. */
  @ApiProperty({ type: String, nullable: true })
  personId: string | null;
  /** Who has seen it; null while nobody has. */
  @ApiProperty({ type: String, nullable: true })
  seenBy: string | null;
  @ApiProperty({ type: String, nullable: true })
  seenAt: string | null;
  /** Since when it no longer holds; null while it may. */
  @ApiProperty({ type: String, nullable: true })
  overAt: string | null;
}

/** The notice that was seen. */
export class SeenDto {
  id: string;
}

export class NewSeenDto {
  /** Ids of the notices that the person has seen. */
  @ArrayMinSize(1)
  @Ids(200)
  ids: string[];
}

/** How many notices were marked as seen. */
export class SeenManyDto {
  seen: number;
}

export const MAIL_STATES = ['waiting', 'sent', 'given up'] as const;

/** A message of the outbox. */
export class MailDto {
  id: string;
  at: string;
  subject: string;
  text: string;
  @ApiProperty({ enum: MAIL_STATES })
  state: (typeof MAIL_STATES)[number];
  attempts: number;
  @ApiProperty({ type: String, nullable: true })
  sentAt: string | null;
  /** What the mail server said when it was tried last. */
  @ApiProperty({ type: String, nullable: true })
  error: string | null;
}

/** Whether and where mail goes, and the messages of late. */
export class OutboxDto {
  /** Null where mail is not set up. */
  @ApiProperty({ type: String, nullable: true })
  from: string | null;
  to: string[];
  items: MailDto[];
}

export class CalendarLinkDto {
  id: string;
  madeAt: string;
}

/** An own address of the calendar, told this once: only its hash is kept. */
export class NewCalendarLinkDto extends CalendarLinkDto {
  /** Address from the origin on, such as '/api/calendar/….ics'. */
  path: string;
}
