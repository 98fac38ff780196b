import { Column, Entity, PrimaryColumn } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';

/** The laboratory whose records these are. One chain each. */
@Entity('laboratory')
export class LaboratoryRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  name: string;

  /** IANA time zone; every rule about days uses it. */
  @Column('text')
  zone: string;

  /** True for the invented laboratory; a production start refuses its database. */
  @Column('boolean')
  demo: boolean;

  /** Rate by which a device's monotonic clock may be off, in parts per million. */
  @Column('integer')
  driftPpm: number;

  @Column('text')
  createdAt: Instant;
}
