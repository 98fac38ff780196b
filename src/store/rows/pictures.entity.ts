import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';
import type { Measuring, Metrics } from '../../core/stain-image/measure.js';
import type { Exposure, PictureSubjectKind } from '../../core/stain-image/taken.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { FileRow } from './files.entity.js';

/** A photomicrograph that is to be measured: of what, how it was taken and what is asked of it. */
@Entity('picture')
@Index('picture_subject', ['subjectKind', 'subjectId'])
export class PictureRow extends FactRow {
  @ForeignKey(() => FileRow, { name: 'picture_in' })
  @Column('text')
  fileId: string;

  /** An empty field at the same exposure, from which white and shading are taken. */
  @ForeignKey(() => FileRow, { name: 'picture_field' })
  @Column('text', { nullable: true })
  fieldFileId: string | null;

  @Column('text', { nullable: true })
  subjectKind: PictureSubjectKind | null;

  /** Id of the reading, the run or the series. */
  @Column('text', { nullable: true })
  subjectId: string | null;

  /** Which control of a run it shows, by the id of the protocol's requirement. */
  @Column('text', { nullable: true })
  requirement: string | null;

  @Column('simple-json')
  measuring: Measuring;

  @Column('simple-json')
  exposure: Exposure;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;
}

/** What was measured in a picture, or why it could not be. */
@Entity('measurement')
@Index('measurement_picture', ['pictureId'], { unique: true })
export class MeasurementRow extends FactRow {
  @ForeignKey(() => PictureRow, { name: 'measurement_of' })
  @Column('text')
  pictureId: string;

  @Column('text')
  at: Instant;

  @Column('simple-json', { nullable: true })
  metrics: Metrics | null;

  @Column('simple-json')
  remarks: string[];

  /** Null when it was measured. */
  @Column('text', { nullable: true })
  refused: string | null;

  @Column('integer', { nullable: true })
  width: number | null;

  @Column('integer', { nullable: true })
  height: number | null;
}

/** How far the measuring of a picture is; kept by the job that does it, gone when it is done. */
@Entity('picture_progress')
export class PictureProgressRow {
  @PrimaryColumn('text')
  pictureId: string;

  @Column('text')
  laboratoryId: string;

  /** From 0 to 1. */
  @Column('double precision')
  done: number;
}
