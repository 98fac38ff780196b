import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import {
  ArrayMinSize,
  IsArray,
  IsBoolean,
  IsObject,
  IsString,
  Matches,
  MaxLength,
  MinLength,
  ValidateBy,
} from 'class-validator';
import {
  REVISION_ACTS,
  REVISION_STATES,
  type RevisionAct,
  type RevisionActData,
  type RevisionActKind,
  type RevisionState,
  type Verification,
} from '../core/protocol/lifecycle.js';
import { STAIN_CATEGORIES, type StainCategory } from '../core/protocol/protocol.js';
import type { Confirmation, FigureValue, OpenProposal } from '../core/protocol/figures.js';
import { ProtocolDto } from './protocol.dto.js';
import { Many, MayBeAbsent, One, Text } from './shape.js';

const STEP = { type: 'array' as const, items: { oneOf: [{ type: 'string' as const }, { type: 'integer' as const }] } };

const ANYTHING = {
  oneOf: [
    { type: 'string' as const },
    { type: 'number' as const },
    { type: 'boolean' as const },
    { type: 'array' as const, items: {} },
    { type: 'object' as const, additionalProperties: true },
  ],
};

/** Keys and positions that lead to one place of a protocol, such as ['steps', 0, 'time', 'status']. */
function Place(): PropertyDecorator {
  return ValidateBy({
    name: 'place',
    validator: {
      validate: (value: unknown) =>
        Array.isArray(value) &&
        value.length > 0 &&
        value.length <= 10 &&
        value.every((key) => (typeof key === 'string' && key.length <= 64) || (Number.isInteger(key) && key >= 0)),
      defaultMessage: () => '$property must be keys and positions, such as ["steps", 0, "time", "status"]',
    },
  });
}

export class NewDraftDto {
  @One(() => ProtocolDto) content: ProtocolDto;
  /** Id of the revision that it was made from. */
  @MayBeAbsent() @Text(64) basedOn?: string;
  @MayBeAbsent() @Text(1000) note?: string;
}

export class ProtocolCheckDto {
  /** A protocol that is being written: whatever its form. */
  @ApiProperty({ type: 'object', additionalProperties: true }) @IsObject() content: object;
}

export class ProtocolFaultDto {
  @ApiProperty(STEP) path: (string | number)[];
  /** What is wrong and what would be right. */
  message: string;
}

/** What is wrong with a protocol; empty when it could be kept as a draft. */
export class ProtocolFaultsDto {
  problems: ProtocolFaultDto[];
}

export class NewDraftFromTextDto {
  /** The protocol as YAML. */
  @IsString() @MinLength(1) @MaxLength(1_000_000) text: string;
  /** Name of the file, which is the protocol's id and '.yaml'. */
  @IsString()
  @Matches(/^[a-z0-9]+(-[a-z0-9]+)*\.yaml$/, {
    message: "$property must be the protocol's id and .yaml, such as ao-fresh.yaml",
  })
  @MaxLength(80)
  fileName: string;
}

export class FigureDto implements Confirmation {
  @ApiProperty(STEP) @IsArray() @Place() path: (string | number)[];
  /** The figure's own keys with the values that the laboratory sets; left out to confirm it as it stands. */
  @ApiPropertyOptional({ type: 'object', additionalProperties: { oneOf: [{ type: 'string' }, { type: 'number' }] } })
  @MayBeAbsent()
  @IsObject()
  value?: Record<string, string | number>;
}

export class SetFiguresDto {
  @Many(() => FigureDto, 500) @ArrayMinSize(1) figures: FigureDto[];
  /** Why these values. */
  @Text(1000) note: string;
}

export class DecisionDto {
  @Text(1000) note: string;
  /** The signer's own, asked again at each signature. */
  @Text(200) password: string;
}

export class VerificationDto implements Verification {
  /** Where the record is kept, such as 'VAL-2026-014'. */
  @Text(200) reference: string;
  /** What it showed. */
  @Text(4000) summary: string;
}

export class ApprovalDto {
  /** First day of use, by the laboratory's calendar. */
  @IsString()
  @Matches(/^\d{4}-\d\d-\d\d$/, { message: '$property must be a day, such as 2026-12-01' })
  effectiveFrom: string;

  @One(() => VerificationDto) verification: VerificationDto;
  /** Whether people must be assessed anew before they run it. */
  @IsBoolean() newAssessment: boolean;
  /** The signer's own, asked again at each signature. */
  @Text(200) password: string;
}

export class RevisionSummaryDto {
  id: string;
  number: number;
  @ApiProperty({ enum: REVISION_STATES }) state: RevisionState;
  /** Instant from which it was approved to be used. */
  effectiveFrom: string | null;
  /** Whether runs can be started on it now. */
  inForce: boolean;
  openProposals: number;
}

export class ProtocolSummaryDto {
  /** The protocol's id. */
  id: string;
  title: string;
  @ApiProperty({ enum: STAIN_CATEGORIES }) category: StainCategory;
  @ApiProperty({ enum: ['bedside', 'laboratory'] }) setting: 'bedside' | 'laboratory';
  /** Newest first. */
  revisions: RevisionSummaryDto[];
}

export class RevisionActDto implements Omit<RevisionAct, 'seq'> {
  @ApiProperty({ enum: REVISION_ACTS }) kind: RevisionActKind;
  at: string;
  /** Who decided; null for the program itself. */
  personId: string | null;
  person: string | null;
  @ApiProperty({ type: 'object', additionalProperties: true }) data: RevisionActData;
}

export class OpenProposalDto implements OpenProposal {
  @ApiProperty(STEP) path: readonly (string | number)[];
  text: string;
  @ApiProperty({ type: 'object', additionalProperties: { oneOf: [{ type: 'string' }, { type: 'number' }] } })
  value: FigureValue;
}

export class RevisionDto {
  id: string;
  protocolId: string;
  number: number;
  title: string;
  content: ProtocolDto;
  /** SHA-256 over the RFC 8785 bytes of the content. */
  contentHash: string;
  basedOn: string | null;
  @ApiProperty({ enum: REVISION_STATES }) state: RevisionState;
  effectiveFrom: string | null;
  inForce: boolean;
  acts: RevisionActDto[];
  openProposals: OpenProposalDto[];
}

export class DifferenceDto {
  @ApiProperty(STEP) path: readonly (string | number)[];
  /** What stands in the first revision; absent when nothing does. */
  @ApiPropertyOptional(ANYTHING) a?: unknown;
  @ApiPropertyOptional(ANYTHING) b?: unknown;
}

export class ComparisonDto {
  differences: DifferenceDto[];
}
