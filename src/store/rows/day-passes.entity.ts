import { Column, Entity, Index, PrimaryColumn } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';

/** What lets a person take over one device without a network; it stands while the badge that opened it does. */
@Entity('day_pass')
@Index('day_pass_person', ['laboratoryId', 'personId'])
export class DayPassRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  personId: string;

  /** The badge that it was given for. */
  @Column('text')
  badgeId: string;

  /** P-256, DER in Base64url; its private half never leaves the device. */
  @Column('text')
  publicKey: string;

  /** It proves nothing that happened after this instant. */
  @Column('text')
  endsAt: Instant;

  @Column('text')
  createdAt: Instant;
}
