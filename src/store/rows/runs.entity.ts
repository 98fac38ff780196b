import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';
import type { Finding } from '../../core/gate/finding.js';
import type { Signature } from '../../core/record/signature.js';
import type { ReleaseException, ReleaseKind } from '../../core/release/release.js';
import type { BenchStamp, RunEvent, RunEventKind, RunPurpose, Verdict } from '../../core/run/events.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { RevisionRow } from './protocols.entity.js';
import { SubjectRow } from './specimens.entity.js';

/** One performance of a revision on specimens or slides with their controls. */
@Entity('run')
@Index('run_started', ['laboratoryId', 'startedAt'])
export class RunRow extends FactRow {
  @ForeignKey(() => RevisionRow, { name: 'run_of' })
  @Column('text')
  revisionId: string;

  /** The bench place where it is done. */
  @Column('text')
  station: string;

  @Column('text')
  purpose: RunPurpose;

  @Column('text')
  startedAt: Instant;

  @Column('text')
  personId: string;
}

@Entity('run_subject')
@Index('run_subject_run', ['runId'])
@Index('run_subject_subject', ['subjectId'])
export class RunSubjectRow extends FactRow {
  @ForeignKey(() => RunRow, { name: 'run_subject_in' })
  @Column('text')
  runId: string;

  @ForeignKey(() => SubjectRow, { name: 'run_subject_is' })
  @Column('text')
  subjectId: string;

  @Column('text')
  role: 'patient' | 'control';

  /** Id of the control requirement that this control answers. */
  @Column('text', { nullable: true })
  control: string | null;
}

@Entity('run_event')
@Index('run_event_run', ['runId'])
export class RunEventRow extends FactRow {
  @ForeignKey(() => RunRow, { name: 'run_event_in' })
  @Column('text')
  runId: string;

  @Column('text')
  kind: RunEventKind;

  @Column('simple-json')
  data: RunEvent['data'];

  @Column('simple-json')
  stamp: BenchStamp;

  @Column('text')
  personId: string;

  @Column('text')
  receivedAt: Instant;
}

/** Runs that stand on a bench now; kept by the acts that start and clear them. */
@Entity('bench_run')
export class BenchRunRow {
  @PrimaryColumn('text')
  runId: string;

  @Column('text')
  laboratoryId: string;

  @Column('text')
  station: string;
}

/** A signed act that lets a result out, with all that a later check needs to find the same verdict. */
@Entity('release')
@Index('release_run', ['runId'])
@Index('release_subject', ['subjectId'])
export class ReleaseRow extends FactRow {
  @ForeignKey(() => RunRow, { name: 'release_of' })
  @Column('text')
  runId: string;

  @Column('text')
  subjectId: string;

  /** Id of the protocol's release point. */
  @Column('text')
  point: string;

  @Column('text')
  kind: ReleaseKind;

  /** Id of the sealed value with the words of an adequacy statement or impression. */
  @Column('text', { nullable: true })
  wordsId: string | null;

  @Column('text')
  verdict: Verdict;

  @Column('simple-json')
  findings: Finding[];

  /** Facts up to this record number were judged. */
  @Column('integer')
  judgedTo: number;

  /** Version of the gate's rules that judged. */
  @Column('text')
  rules: string;

  @Column('simple-json')
  signature: Signature;

  /** A release over findings; null where the gate was clear. */
  @Column('simple-json', { nullable: true })
  exception: ReleaseException | null;

  /** The release that this one replaces. */
  @Column('text', { nullable: true })
  amends: string | null;

  /** The spoken answer that it confirms. */
  @Column('text', { nullable: true })
  answerId: string | null;

  /** Where the signer read it, when that was not in the laboratory. */
  @Column('text', { nullable: true })
  place: string | null;
}
