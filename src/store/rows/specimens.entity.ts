import { Column, Entity, Index } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A specimen, a slide of one, or a piece of control material. Patients' identifiers are sealed values that it owns. */
@Entity('subject')
@Index('subject_label', ['laboratoryId', 'label'], { unique: true })
@Index('subject_parent', ['parentId'])
export class SubjectRow extends FactRow {
  @Column('text')
  kind: 'specimen' | 'slide' | 'control';

  /** Text of our own label on it. */
  @Column('text')
  label: string;

  /** The specimen that a slide was cut or smeared from. */
  @Column('text', { nullable: true })
  parentId: string | null;

  /** What it is, in words without the patient: 'core, neck lymph node, left'. */
  @Column('text')
  description: string;

  /** When it left the body. */
  @Column('text', { nullable: true })
  takenAt: Instant | null;

  /** No second piece can be had. */
  @Column('boolean')
  irreplaceable: boolean;
}
