import { ApiProperty } from '@nestjs/swagger';
import { ArrayMinSize, ArrayUnique, IsIn, IsInt, Matches, Max, Min } from 'class-validator';
import { KEPT_CODES, type KeptCode } from '../core/keeping/kinds.js';
import { SignatureDto } from './run-view.dto.js';
import { MayBeAbsent, Text } from './shape.js';

const Day = (): PropertyDecorator =>
  Matches(/^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/, { message: '$property must be a day such as 2026-11-25' });

export class NewKeepingTermDto {
  @ApiProperty({ enum: KEPT_CODES }) @IsIn(KEPT_CODES) kind: KeptCode;
  /** Whole years, never fewer than the law asks for. */
  @IsInt() @Min(1) @Max(1000) years: number;
  @Text(1000) reason: string;
  /** The signer's own, asked again at each signature. */
  @Text(200) password: string;
}

export class NewLegalHoldDto {
  /** What it holds; every kind when left out. */
  @ApiProperty({ enum: KEPT_CODES, isArray: true, required: false })
  @MayBeAbsent()
  @IsIn(KEPT_CODES, { each: true })
  @ArrayMinSize(1)
  @ArrayUnique()
  kinds?: KeptCode[];
  /** First local day of the records that it holds. */
  @MayBeAbsent() @Day() from?: string;
  /** Last local day of the records that it holds. */
  @MayBeAbsent() @Day() to?: string;
  @Text(1000) reason: string;
  @Text(200) password: string;
}

export class LiftedHoldDto {
  @Text(1000) reason: string;
  @Text(200) password: string;
}

/** What is kept of one kind of record. */
export class KeptDto {
  @ApiProperty({ enum: KEPT_CODES }) kind: KeptCode;
  title: string;
  /** The least that the law asks for. */
  floorYears: number;
  /** From when the years run. */
  from: string;
  clause: string;
  /** For how long it is kept here. */
  years: number;
  /** The laboratory's own term, when it has one. */
  @ApiProperty({ type: SignatureDto, nullable: true }) signature: SignatureDto | null;
  @ApiProperty({ type: String, nullable: true }) reason: string | null;
  records: number;
  @ApiProperty({ type: String, nullable: true }) oldest: string | null;
  /** When the first of them has been kept for its years; null when only a person can say. */
  @ApiProperty({ type: String, nullable: true }) oldestUntil: string | null;
  /** How many have been kept for their years, and stay all the same; null when only a person can say. */
  @ApiProperty({ type: Number, nullable: true }) past: number | null;
  /** Whether a legal hold lies on it. */
  held: boolean;
}

export class LegalHoldEndDto {
  reason: string;
  signature: SignatureDto;
}

export class LegalHoldDto {
  id: string;
  /** Null for every kind. */
  @ApiProperty({ enum: KEPT_CODES, isArray: true, nullable: true }) kinds: KeptCode[] | null;
  @ApiProperty({ type: String, nullable: true }) from: string | null;
  /** Records before this instant. */
  @ApiProperty({ type: String, nullable: true }) to: string | null;
  reason: string;
  signature: SignatureDto;
  @ApiProperty({ type: LegalHoldEndDto, nullable: true }) lifted: LegalHoldEndDto | null;
}

export class KeepingDto {
  kinds: KeptDto[];
  /** The newest first. */
  holds: LegalHoldDto[];
}
