import { Column, Entity, Index } from 'typeorm';
import type { GatePolicy } from '../../core/gate/policy.js';
import type { Signature } from '../../core/record/signature.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';

/** A signed revision of what the laboratory tightens of the gate; it takes the place of the one before. */
@Entity('gate_policy')
@Index('gate_policy_number', ['laboratoryId', 'number'], { unique: true })
export class GatePolicyRow extends FactRow {
  @Column('integer')
  number: number;

  @Column('simple-json')
  content: GatePolicy;

  /** SHA-256 over the RFC 8785 bytes of the content. */
  @Column('text')
  contentHash: string;

  @Column('text')
  effectiveFrom: Instant;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;

  @Column('text')
  reason: string;

  /** Codes of the rules that it has less strict than the one before, named by the signer. */
  @Column('simple-json')
  eases: string[];

  @Column('simple-json')
  signature: Signature;
}
