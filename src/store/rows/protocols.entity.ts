import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { RevisionAct, RevisionActData, RevisionActKind } from '../../core/protocol/lifecycle.js';
import type { Protocol } from '../../core/protocol/protocol.js';
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

/** What was decided about a revision, in order. */
@Entity('revision_act')
@Index('revision_act_revision', ['revisionId'])
export class RevisionActRow extends FactRow implements RevisionAct {
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
