import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { KeptCode } from '../../core/keeping/kinds.js';
import type { KeepingTerm } from '../../core/keeping/keeping.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** For how many years a kind of record is kept here; the last one signed counts. */
@Entity('keeping_term')
@Index('keeping_term_kind', ['laboratoryId', 'kind'])
export class KeepingTermRow extends FactRow implements KeepingTerm {
  @Column('text')
  kind: KeptCode;

  @Column('integer')
  years: number;

  @Column('text')
  reason: string;

  @Column('simple-json')
  signature: Signature;
}

/** A signed order that nothing of some kinds goes until it is lifted. */
@Entity('legal_hold')
export class LegalHoldRow extends FactRow {
  /** Null for every kind. */
  @Column('simple-json', { nullable: true })
  kinds: KeptCode[] | null;

  @Column('text', { nullable: true })
  from: Instant | null;

  @Column('text', { nullable: true })
  to: Instant | null;

  @Column('text')
  reason: string;

  @Column('simple-json')
  signature: Signature;
}

@Entity('legal_hold_end')
@Index('legal_hold_end_hold', ['holdId'])
export class LegalHoldEndRow extends FactRow {
  @ForeignKey(() => LegalHoldRow, { name: 'legal_hold_end_of' })
  @Column('text')
  holdId: string;

  @Column('text')
  reason: string;

  @Column('simple-json')
  signature: Signature;
}
