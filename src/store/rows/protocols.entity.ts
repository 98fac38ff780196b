import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { Protocol } from '../../core/protocol/protocol.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A protocol's content as it stood when saved. A changed figure makes the next revision; this one never changes. */
@Entity('revision')
@Index('revision_number', ['laboratoryId', 'protocolId', 'number'], { unique: true })
export class RevisionRow extends FactRow {
  @Column('text')
  protocolId: string;

  @Column('integer')
  number: number;

  @Column('text')
  title: string;

  @Column('simple-json')
  content: Protocol;

  /** SHA-256 over the RFC 8785 bytes of the content. */
  @Column('text')
  contentHash: string;

  /** The revision it was made from. */
  @Column('text', { nullable: true })
  basedOn: string | null;
}

export type RevisionActKind = 'drafted' | 'reviewed' | 'approved' | 'superseded' | 'retired';

export interface RevisionActData {
  note?: string;
  /** Approval only: the day from which runs may use it, as the instant at which that day begins. */
  effectiveFrom?: Instant;
  /** Approval only: what shows that the method works here (42 CFR 493.1253). */
  verification?: { reference: string; summary: string };
  /** Approval only: people must be assessed anew before they run it. */
  newAssessment?: boolean;
  signature?: Signature;
}

/** What was decided about a revision, in order. */
@Entity('revision_act')
@Index('revision_act_revision', ['revisionId'])
export class RevisionActRow extends FactRow {
  @ForeignKey(() => RevisionRow, { name: 'revision_act_of' })
  @Column('text')
  revisionId: string;

  @Column('text')
  kind: RevisionActKind;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('simple-json')
  data: RevisionActData;
}
