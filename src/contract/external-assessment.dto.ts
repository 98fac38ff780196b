import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsIn, IsInt, Matches, Max, Min } from 'class-validator';
import {
  ROUND_ACTS,
  ROUND_STANDINGS,
  type RoundActKind,
  type RoundStanding,
} from '../core/external-assessment/round.js';
import type { Signature } from '../core/record/signature.js';
import { SignatureDto } from './run-view.dto.js';
import { Amount, MayBeAbsent, Text } from './shape.js';

export class NewRoundDto {
  /** Who sent it. */
  @Text(100) body: string;
  /** The body's own name for the round. */
  @Text(60) round: string;
  @Text(64) protocolId: string;
  /** Last local day on which results can be sent. */
  @Matches(/^\d{4}-\d\d-\d\d$/, { message: '$property must be a day such as 2027-03-31' }) dueDay: string;
  @IsInt() @Min(1) @Max(1000) samples: number;
}

export class NewRoundActDto {
  @IsIn(ROUND_ACTS) kind: RoundActKind;
  /** The run in which the samples were stained. */
  @MayBeAbsent() @Text(64) runId?: string;
  @MayBeAbsent() @Amount() score?: number;
  @MayBeAbsent() @Amount() outOf?: number;
  /** Whether the body calls it satisfactory. */
  @MayBeAbsent() @IsBoolean() satisfactory?: boolean;
  @MayBeAbsent() @Text(2000) text?: string;
  /** The report, kept as a file. */
  @MayBeAbsent() @Text(64) fileId?: string;
  /** The end of a round is signed. */
  @MayBeAbsent() @Text(200) password?: string;
}

export class RoundActDto {
  id: string;
  @ApiProperty({ enum: ROUND_ACTS }) kind: RoundActKind;
  at: string;
  personId: string | null;
  runId?: string;
  score?: number;
  outOf?: number;
  satisfactory?: boolean;
  text?: string;
  fileId?: string;
  @ApiProperty({ type: () => SignatureDto, required: false }) signature?: Signature;
}

export class RoundDto {
  id: string;
  body: string;
  round: string;
  protocolId: string;
  receivedAt: string;
  dueAt: string;
  samples: number;
  @ApiProperty({ enum: ROUND_STANDINGS }) standing: RoundStanding;
  /** Earliest first. */
  acts: RoundActDto[];
}
