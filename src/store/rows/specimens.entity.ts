import { Column, Entity, Index } from 'typeorm';
import type { Cytology } from '../../core/specimen/cytology.js';
import type { TissueTest } from '../../core/specimen/tissue.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A specimen, a slide of one, or a piece of control material. Patients' identifiers are sealed values that it owns. */
@Entity('subject')
@Index('subject_label', ['laboratoryId', 'label'], { unique: true })
@Index('subject_parent', ['parentId'])
@Index('subject_texts', ['laboratoryId', 'id', 'label', 'description'])
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

  /** Null for what is no cytology, or where its specimen says it. */
  @Column('text', { nullable: true })
  cytology: Cytology | null;

  /** The planned test that asks how the tissue was handled before. */
  @Column('text', { nullable: true })
  tissueTest: TissueTest | null;

  /** The same for all specimens of a patient whose number is known here; tells nothing else of them. */
  @Column('text', { nullable: true })
  patient: string | null;
}
