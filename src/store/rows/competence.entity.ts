import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { AssessmentElement, CompetenceAct, CompetenceDecision } from '../../core/competence/competence.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { PersonRow } from './people.entity.js';

/** A decision on a person's competence in one protocol, signed by who made it. */
@Entity('competence')
@Index('competence_person', ['personId', 'protocolId'])
export class CompetenceRow extends FactRow implements CompetenceAct {
  @ForeignKey(() => PersonRow, { name: 'competence_of' })
  @Column('text')
  personId: string;

  @Column('text')
  protocolId: string;

  @Column('text')
  decision: CompetenceDecision;

  @Column('text')
  at: Instant;

  /** Number of the revision on which it was assessed. */
  @Column('integer')
  revision: number;

  @Column('text', { nullable: true })
  until: Instant | null;

  /** What was seen of each of the six elements. */
  @Column('simple-json')
  elements: { element: AssessmentElement; evidence: string }[];

  @Column('text')
  reason: string;

  @Column('simple-json')
  signature: Signature;
}
