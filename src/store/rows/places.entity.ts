import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { StorageClass } from '../../core/storage/classes.js';
import type { Reading } from '../../core/storage/excursion.js';
import type { Place } from '../../core/storage/place.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { ContainerRow } from './stock.entity.js';

/** A storage place as it was set up or changed; the latest of a code counts. */
@Entity('place')
@Index('place_code', ['laboratoryId', 'code'])
export class PlaceRow extends FactRow implements Place {
  @Column('text')
  code: string;

  @Column('text')
  name: string;

  @Column('double precision', { nullable: true })
  min: number | null;

  @Column('double precision', { nullable: true })
  max: number | null;

  @Column('boolean')
  dark: boolean;

  @Column('simple-json', { nullable: true })
  classes: StorageClass[] | null;

  @Column('boolean')
  apart: boolean;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;
}

/** Temperatures of a place as they were entered together: one read by hand, or those of a logger's file. */
@Entity('temperature')
@Index('temperature_place', ['laboratoryId', 'place', 'until'])
export class TemperatureRow extends FactRow {
  /** Code of the place. */
  @Column('text')
  place: string;

  /** Instant of the first reading. */
  @Column('text')
  since: Instant;

  /** Instant of the last reading. */
  @Column('text')
  until: Instant;

  /** In the order of their instants. */
  @Column('simple-json')
  readings: Reading[];

  @Column('text')
  how: 'by hand' | 'import';

  @Column('text', { nullable: true })
  personId: string | null;
}

/** A time during which a place was outside its limits. */
@Entity('excursion')
@Index('excursion_place', ['laboratoryId', 'place'])
export class ExcursionRow extends FactRow {
  /** Code of the place. */
  @Column('text')
  place: string;

  /** Instant of the first reading outside. */
  @Column('text')
  since: Instant;

  /** The limits that it was outside of, degrees Celsius. */
  @Column('double precision', { nullable: true })
  min: number | null;

  @Column('double precision', { nullable: true })
  max: number | null;
}

/** The first reading that was back inside. */
@Entity('excursion_end')
@Index('excursion_end_excursion', ['excursionId'])
export class ExcursionEndRow extends FactRow {
  @ForeignKey(() => ExcursionRow, { name: 'excursion_end_of' })
  @Column('text')
  excursionId: string;

  @Column('text')
  until: Instant;
}

/** A look at the water over picric acid. */
@Entity('water_check')
@Index('water_check_container', ['containerId'])
export class WaterCheckRow extends FactRow {
  @ForeignKey(() => ContainerRow, { name: 'water_check_of' })
  @Column('text')
  containerId: string;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  /** False when it was found dry or doubtful. */
  @Column('boolean')
  wet: boolean;

  @Column('text', { nullable: true })
  note: string | null;
}
