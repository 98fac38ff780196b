import { Column, Entity, Index, PrimaryColumn } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';

/** What a person takes over a station with: a badge and a PIN. A new one ends the one before. */
@Entity('badge')
@Index('badge_person', ['laboratoryId', 'personId'], { unique: true })
export class BadgeRow {
  /** SHA-256 of the badge's label. */
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  personId: string;

  /** Argon2id hash in its standard text form; of a secret that nobody knows while no PIN is set. */
  @Column('text')
  pinHash: string;

  /** When its owner set the PIN; null for a badge that was given and has none yet. */
  @Column('text', { nullable: true })
  pinAt: Instant | null;

  /** Wrong PINs since the last right one. */
  @Column('integer')
  failures: number;

  /** It is refused before this instant. */
  @Column('text', { nullable: true })
  lockedUntil: Instant | null;

  @Column('text')
  createdAt: Instant;
}
