import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { Finding } from '../../core/gate/finding.js';
import type { Signature } from '../../core/record/signature.js';
import type { Verdict } from '../../core/run/events.js';
import type { SecondLookCause } from '../../core/second-look/acts.js';
import type { LookOutcome } from '../../core/second-look/second-look.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { ReleaseRow } from './runs.entity.js';

/** An act that changed what the gate had used for releases made before it. */
@Entity('second_look')
export class SecondLookRow extends FactRow {
  @Column('text')
  cause: SecondLookCause;

  /** Id of what changed: the run, the lot, the container, the person and so on. */
  @Column('text')
  causeId: string;

  /** Page where that is seen. */
  @Column('text')
  path: string;

  @Column('text')
  at: Instant;

  @Column('text', { nullable: true })
  personId: string | null;

  @Column('text')
  reason: string;

  /** How many releases it asks of. */
  @Column('integer')
  asked: number;
}

/** A release that a second look asks of: whether the gate still says what it said. */
@Entity('release_question')
@Index('release_question_look', ['lookId'])
@Index('release_question_release', ['releaseId'])
export class ReleaseQuestionRow extends FactRow {
  @ForeignKey(() => SecondLookRow, { name: 'release_question_of' })
  @Column('text')
  lookId: string;

  @ForeignKey(() => ReleaseRow, { name: 'release_question_on' })
  @Column('text')
  releaseId: string;
}

/** What the gate said when it was asked again, kept by the program; one for each question. */
@Entity('release_answer')
@Index('release_answer_question', ['questionId'], { unique: true })
@Index('release_answer_look', ['lookId'])
@Index('release_answer_outcome', ['laboratoryId', 'outcome'])
export class ReleaseAnswerRow extends FactRow {
  @ForeignKey(() => ReleaseQuestionRow, { name: 'release_answer_to' })
  @Column('text')
  questionId: string;

  @Column('text')
  lookId: string;

  @Column('text')
  releaseId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  outcome: LookOutcome;

  @Column('text')
  verdict: Verdict;

  /** Facts up to this record number were judged. */
  @Column('integer')
  judgedTo: number;

  /** Version of the gate's rules that judged. */
  @Column('text')
  rules: string;

  /** What speaks against it now and did not when it was released. */
  @Column('simple-json')
  worse: Finding[];

  /** Names of those who were told by name, beside the notice for everybody. */
  @Column('simple-json')
  told: string[];
}

/** The signed word of a releaser that a release stands after all. */
@Entity('release_upheld')
@Index('release_upheld_release', ['releaseId'])
export class ReleaseUpheldRow extends FactRow {
  @ForeignKey(() => ReleaseRow, { name: 'release_upheld_of' })
  @Column('text')
  releaseId: string;

  @Column('text')
  at: Instant;

  @Column('text')
  reason: string;

  @Column('text')
  verdict: Verdict;

  @Column('integer')
  judgedTo: number;

  @Column('text')
  rules: string;

  /** What it stands over. */
  @Column('simple-json')
  findings: Finding[];

  @Column('simple-json')
  signature: Signature;

  /** Who stands beside the signer where one of the findings is a stop. */
  @Column('simple-json', { nullable: true })
  second: Signature | null;
}
