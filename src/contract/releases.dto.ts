import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn } from 'class-validator';
import { LOOKBACK_CAUSES, LOOKBACK_OUTCOMES } from '../core/lookback/lookback.js';
import type { LookbackCause, LookbackOutcome } from '../core/lookback/lookback.js';
import { RELEASE_KINDS, RELEASE_STANDINGS, type ReleaseKind, type ReleaseStanding } from '../core/release/release.js';
import type { Verdict } from '../core/run/events.js';
import { SECOND_LOOK_CAUSES, type SecondLookCause } from '../core/second-look/acts.js';
import { LOOK_OUTCOMES, type LookOutcome } from '../core/second-look/second-look.js';
import { FindingDto, SignatureDto } from './run-view.dto.js';
import { MayBeAbsent, One, Text } from './shape.js';

const VERDICTS = ['clear', 'held'] as const;

/** A release over what the gate holds: why, and who stands beside the signer, with that person's own password. */
export class NewExceptionDto {
  @Text(1000) reason: string;
  /** How the second signer signs in. */
  @Text(64) secondLogin: string;
  @Text(200) secondPassword: string;
}

/** Which releases are asked for. */
export class ReleaseQueryDto {
  /** Id of a run; all runs when left out. */
  @MayBeAbsent() @Text(64) run?: string;
}

export class NewReleaseDto {
  @Text(64) subjectId: string;
  /** Id of the protocol's release point. */
  @Text(64) point: string;
  @IsIn(RELEASE_KINDS) kind: ReleaseKind;
  /** The statement or impression; needed for all but stained material. */
  @MayBeAbsent() @Text(2000) words?: string;
  /** The release that this one amends. */
  @MayBeAbsent() @Text(64) amends?: string;
  /** Event of the spoken answer that it confirms. */
  @MayBeAbsent() @Text(64) answer?: string;
  /** Where the signer reads it, when that is not in the laboratory. */
  @MayBeAbsent() @Text(200) place?: string;
  @MayBeAbsent() @One(() => NewExceptionDto) exception?: NewExceptionDto;
  /** The signer's own, asked again at each signature. */
  @Text(200) password: string;
}

/** Who stands beside the signer, with that person's own password. */
export class SecondSignerDto {
  /** How the second signer signs in. */
  @Text(64) login: string;
  @Text(200) password: string;
}

/** The word of a releaser that a release stands after all. */
export class NewUpholdingDto {
  @Text(1000) reason: string;
  /** Needed where it stands over a stop. */
  @MayBeAbsent() @One(() => SecondSignerDto) second?: SecondSignerDto;
  @Text(200) password: string;
}

export class NewWithdrawalDto {
  @Text(1000) reason: string;
  /** Whom it was told to, and how. */
  @Text(500) told: string;
  @Text(200) password: string;
}

export class NewResultHoldDto {
  @Text(64) subjectId: string;
  /** False lifts a hold. */
  @IsBoolean() holds: boolean;
  @Text(500) reason: string;
}

export class ResultHoldDto {
  subjectId: string;
  at: string;
  personId: string;
  holds: boolean;
  reason: string;
}

export class ReleaseExceptionDto {
  /** Ids of the findings that it goes over. */
  findings: string[];
  reason: string;
  second: SignatureDto;
}

export class WithdrawalDto {
  at: string;
  reason: string;
  told: string;
  signature: SignatureDto;
}

/** What a lookback says of what was released: its answer, or that it is in question. */
export class ReleaseQuestionDto {
  lookbackId: string;
  @ApiProperty({ enum: LOOKBACK_CAUSES })
  cause: LookbackCause;
  reason: string;
  openedAt: string;
  /** Null while it is in question. */
  @ApiProperty({ enum: LOOKBACK_OUTCOMES, nullable: true })
  outcome: LookbackOutcome | null;
}

/** What the gate said when it was asked again. */
export class LookAnswerDto {
  at: string;
  @ApiProperty({ enum: LOOK_OUTCOMES })
  outcome: LookOutcome;
  @ApiProperty({ enum: VERDICTS })
  verdict: Verdict;
  judgedTo: number;
  rules: string;
  /** What speaks against it now and did not when it was released. */
  worse: FindingDto[];
  /** Names of those who were told by name, beside the notice for everybody. */
  told: string[];
}

/** A second look at what was released. */
export class ReleaseLookDto {
  lookId: string;
  @ApiProperty({ enum: SECOND_LOOK_CAUSES })
  cause: SecondLookCause;
  reason: string;
  /** Page where its cause is seen. */
  path: string;
  openedAt: string;
  /** Null while the gate has not answered. */
  @ApiProperty({ type: () => LookAnswerDto, nullable: true })
  answer: LookAnswerDto | null;
}

/** A signed word that a release stands after all. */
export class UpheldDto {
  at: string;
  reason: string;
  /** What it stands over. */
  findings: FindingDto[];
  judgedTo: number;
  rules: string;
  signature: SignatureDto;
  /** Who stands beside the signer; null where no stop was gone over. */
  @ApiProperty({ type: () => SignatureDto, nullable: true })
  second: SignatureDto | null;
}

export class ReleaseDto {
  id: string;
  runId: string;
  subjectId: string;
  point: string;
  @ApiProperty({ enum: RELEASE_KINDS })
  kind: ReleaseKind;
  @ApiProperty({ type: String, nullable: true })
  wordsId: string | null;
  /** What was released in words; null for stained material, or once removed by law. */
  @ApiProperty({ type: String, nullable: true })
  words: string | null;
  @ApiProperty({ enum: VERDICTS })
  verdict: Verdict;
  findings: FindingDto[];
  judgedTo: number;
  rules: string;
  signature: SignatureDto;
  @ApiProperty({ type: () => ReleaseExceptionDto, nullable: true })
  exception: ReleaseExceptionDto | null;
  @ApiProperty({ type: String, nullable: true })
  amends: string | null;
  /** The release that replaced it. */
  @ApiProperty({ type: String, nullable: true })
  amendedBy: string | null;
  @ApiProperty({ type: String, nullable: true })
  answerId: string | null;
  @ApiProperty({ type: String, nullable: true })
  place: string | null;
  @ApiProperty({ type: () => WithdrawalDto, nullable: true })
  withdrawal: WithdrawalDto | null;
  /** What stands beside the result wherever it is shown. */
  marks: string[];
  @ApiProperty({ enum: RELEASE_STANDINGS })
  standing: ReleaseStanding;
  /** Lookbacks that touch it; empty when none does. */
  questions: ReleaseQuestionDto[];
  /** Second looks at it, the latest first. */
  looks: ReleaseLookDto[];
  /** When and by whom it was upheld after second looks, the earliest first. */
  upheld: UpheldDto[];
}
