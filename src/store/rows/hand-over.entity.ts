import { Column, Entity, Index } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** What a person leaves in writing to whoever takes the bench over; no patient stands in it. */
@Entity('hand_over_note')
@Index('hand_over_note_at', ['laboratoryId', 'at'])
export class HandOverNoteRow extends FactRow {
  @Column('text')
  text: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** That a note is seen to, by whom and when. */
@Entity('hand_over_note_end')
@Index('hand_over_note_end_note', ['noteId'], { unique: true })
export class HandOverNoteEndRow extends FactRow {
  @Column('text')
  noteId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}
