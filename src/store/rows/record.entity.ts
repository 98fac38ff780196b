import { Column, Entity, Index, PrimaryColumn } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';

/** One link of a laboratory's chain; `body` holds the canonical bytes that were hashed. */
@Entity('record_entry')
@Index('record_entry_subject', ['laboratoryId', 'subjectKind', 'subjectId'])
@Index('record_entry_at', ['laboratoryId', 'at'])
export class RecordRow {
  @PrimaryColumn('text')
  laboratoryId: string;

  @PrimaryColumn('integer')
  seq: number;

  @Column('text')
  at: Instant;

  @Column('text')
  act: string;

  @Column('text')
  subjectKind: string;

  @Column('text')
  subjectId: string;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('text')
  body: string;

  @Column('text')
  hash: string;
}

/** The end of a laboratory's chain; locked by whoever appends. */
@Entity('record_head')
export class HeadRow {
  @PrimaryColumn('text')
  laboratoryId: string;

  @Column('integer')
  seq: number;

  @Column('text')
  hash: string;
}

/** The answer that a request got, kept so that its repeat gets the same and does nothing. */
@Entity('answered_request')
export class AnsweredRequestRow {
  @PrimaryColumn('text')
  laboratoryId: string;

  @PrimaryColumn('text')
  key: string;

  @Column('text')
  at: Instant;

  /** Hash of who asked for what. */
  @Column('text')
  request: string;

  /** JSON text of what was answered. */
  @Column('text')
  answer: string;
}

/** A value that must not stand in the chain: a patient's identifier or free words. Its row hash is salted. */
@Entity('sealed_value')
@Index('sealed_value_owner', ['laboratoryId', 'ownerId'])
@Index('sealed_value_patient', ['laboratoryId', 'value'], { where: "kind = 'patient number'" })
export class SealedRow {
  @PrimaryColumn('text')
  id: string;

  @Column('text')
  laboratoryId: string;

  @Column('integer')
  seq: number;

  @Column('text')
  ownerId: string;

  /** What it is, such as 'patient number' or 'words'. */
  @Column('text')
  kind: string;

  @Column('text')
  salt: string;

  /** Null once removed by law; the chain still holds the hash of the whole. */
  @Column('text', { nullable: true })
  value: string | null;
}

/** A signed checkpoint of the record. The statement is what was signed; the columns beside it are there to search by. */
@Entity('checkpoint')
export class CheckpointRow {
  @PrimaryColumn('text')
  laboratoryId: string;

  /** 1 for the laboratory's first checkpoint, then one more each time. */
  @PrimaryColumn('integer')
  number: number;

  /** Number of the last entry that it covers. */
  @Column('integer')
  seq: number;

  @Column('text')
  hash: string;

  @Column('text')
  at: Instant;

  @Column('text')
  keyId: string;

  @Column('text')
  statement: string;

  @Column('text')
  signature: string;
}
