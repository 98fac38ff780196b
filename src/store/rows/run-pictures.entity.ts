import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { Exposure } from '../../core/stain-image/taken.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { FileRow } from './files.entity.js';
import { PictureRow } from './pictures.entity.js';
import { RunRow } from './runs.entity.js';

/** A picture of what a run stained, a patient's slide or specimen or a control, to be looked at; it is not measured. */
@Entity('run_picture')
@Index('run_picture_run', ['runId'])
@Index('run_picture_file', ['fileId'])
export class RunPictureRow extends FactRow {
  @ForeignKey(() => RunRow, { name: 'run_picture_in' })
  @Column('text')
  runId: string;

  /** What it shows: a specimen, slide or control of the run. */
  @Column('text')
  subjectId: string;

  /** The step after which it was taken; null when nobody said. */
  @Column('text', { nullable: true })
  step: string | null;

  @ForeignKey(() => FileRow, { name: 'run_picture_of' })
  @Column('text')
  fileId: string;

  @Column('simple-json')
  exposure: Exposure;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** A picture that was taken back, such as one of another patient's slide; it stays in the record. */
@Entity('run_picture_back')
@Index('run_picture_back_picture', ['pictureId'], { unique: true })
export class RunPictureBackRow extends FactRow {
  @ForeignKey(() => RunPictureRow, { name: 'run_picture_back_of' })
  @Column('text')
  pictureId: string;

  @Column('text')
  reason: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** The outline of what a measured picture's figures count, drawn by the job that measured it from its own parting. */
@Entity('picture_outline')
@Index('picture_outline_picture', ['pictureId'], { unique: true })
export class PictureOutlineRow extends FactRow {
  @ForeignKey(() => PictureRow, { name: 'picture_outline_of' })
  @Column('text')
  pictureId: string;

  /** Of the picture's size or smaller, clear but for the outline. */
  @ForeignKey(() => FileRow, { name: 'picture_outline_in' })
  @Column('text')
  fileId: string;

  /** The metric that tells the share of what it outlines. */
  @Column('text')
  metric: string;
}
