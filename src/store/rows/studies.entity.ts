import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { Signature } from '../../core/record/signature.js';
import type { Criteria, Design, StudyKind, StudyResults } from '../../core/study/acceptance.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { FileRow } from './files.entity.js';
import { RunRow } from './runs.entity.js';
import { LotRow } from './stock.entity.js';

/** A new lot against the one in use, on the same material: planned, with its criteria, before the first pair. */
@Entity('study')
@Index('study_lot', ['lotId'])
export class StudyRow extends FactRow {
  /** The lot to be accepted. */
  @ForeignKey(() => LotRow, { name: 'study_new_lot' })
  @Column('text')
  lotId: string;

  @ForeignKey(() => LotRow, { name: 'study_old_lot' })
  @Column('text')
  oldLotId: string;

  @Column('text')
  protocolId: string;

  @Column('text')
  kind: StudyKind;

  /** What is compared, in words: 'nuclear staining'. */
  @Column('text')
  measurand: string;

  /** UCUM code of numbers. */
  @Column('text', { nullable: true })
  unit: string | null;

  /** What a picture is measured for, when the numbers come from pictures. */
  @Column('text', { nullable: true })
  metric: string | null;

  /** Categories from the least to the most; for a qualitative study negative and positive. */
  @Column('simple-json', { nullable: true })
  categories: string[] | null;

  @Column('simple-json')
  design: Design;

  @Column('simple-json')
  criteria: Criteria;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** The same material with the old lot and with the new. */
@Entity('study_pair')
@Index('study_pair_study', ['studyId'])
export class StudyPairRow extends FactRow {
  @ForeignKey(() => StudyRow, { name: 'study_pair_of' })
  @Column('text')
  studyId: string;

  /** The block or slide, by its label or in words without a patient. */
  @Column('text')
  material: string;

  /** A number in the study's unit, or the position of a category. */
  @Column('double precision')
  oldValue: number;

  @Column('double precision')
  newValue: number;

  @ForeignKey(() => RunRow, { name: 'study_pair_old_run' })
  @Column('text', { nullable: true })
  oldRunId: string | null;

  @ForeignKey(() => RunRow, { name: 'study_pair_new_run' })
  @Column('text', { nullable: true })
  newRunId: string | null;

  @ForeignKey(() => FileRow, { name: 'study_pair_old_file' })
  @Column('text', { nullable: true })
  oldFileId: string | null;

  @ForeignKey(() => FileRow, { name: 'study_pair_new_file' })
  @Column('text', { nullable: true })
  newFileId: string | null;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** A pair that does not count, with the reason; the pair stays. */
@Entity('study_exclusion')
@Index('study_exclusion_pair', ['pairId'], { unique: true })
export class StudyExclusionRow extends FactRow {
  @ForeignKey(() => StudyPairRow, { name: 'study_exclusion_of' })
  @Column('text')
  pairId: string;

  @Column('text')
  reason: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** The signed end of a study, with what it rested on. */
@Entity('study_decision')
@Index('study_decision_study', ['studyId'], { unique: true })
export class StudyDecisionRow extends FactRow {
  @ForeignKey(() => StudyRow, { name: 'study_decision_of' })
  @Column('text')
  studyId: string;

  @Column('text')
  standing: 'accepted' | 'rejected';

  @Column('text')
  reason: string;

  /** Why it was decided with fewer pairs than planned, or accepted against a criterion. */
  @Column('text', { nullable: true })
  deviation: string | null;

  @Column('simple-json')
  results: StudyResults;

  @Column('text')
  at: Instant;

  @Column('simple-json')
  signature: Signature;
}
