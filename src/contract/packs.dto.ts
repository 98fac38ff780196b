import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { IsIn, IsString, Matches } from 'class-validator';
import { CHAIN_CHOICES, type ChainChoice, IDENTIFIER_CHOICES, type IdentifierChoice } from '../core/pack/choices.js';
import { PACK_STATES, type PackState } from '../core/pack/pack.js';
import { ListDto } from './list.dto.js';
import { Ids, MayBeAbsent } from './shape.js';

const DAY = /^\d{4}-\d\d-\d\d$/;
const DAY_MESSAGE = '$property must be a day, like 2026-11-25';

/** What a pack is to hold. */
export class NewPackDto {
  /** First local day. */
  @IsString() @Matches(DAY, { message: DAY_MESSAGE }) from: string;

  /** Last local day, itself included. */
  @IsString() @Matches(DAY, { message: DAY_MESSAGE }) to: string;

  /** What becomes of patients' identifiers and free words. */
  @ApiPropertyOptional({ enum: IDENTIFIER_CHOICES })
  @MayBeAbsent()
  @IsIn(IDENTIFIER_CHOICES)
  identifiers: IdentifierChoice = 'masked';

  /** All of the chain up to the end, which proves older records as well, or that of the period alone. */
  @ApiPropertyOptional({ enum: CHAIN_CHOICES })
  @MayBeAbsent()
  @IsIn(CHAIN_CHOICES)
  chain: ChainChoice = 'whole';

  /** Only runs of these protocols. */
  @ApiPropertyOptional() @MayBeAbsent() @Ids(100) protocols: string[] = [];

  /** Only runs that these people started. */
  @ApiPropertyOptional() @MayBeAbsent() @Ids(100) people: string[] = [];

  /** Only runs that used these lots. */
  @ApiPropertyOptional() @MayBeAbsent() @Ids(100) lots: string[] = [];

  /** Only these runs. */
  @ApiPropertyOptional() @MayBeAbsent() @Ids(1000) runs: string[] = [];

  /** Runs whose report and pictures go in. */
  @ApiPropertyOptional() @MayBeAbsent() @Ids(500) shown: string[] = [];
}

/** A pack and where it stands. */
export class PackDto {
  id: string;
  @ApiProperty({ enum: PACK_STATES }) state: PackState;
  at: string;
  /** Who asked for it; null at the command line. */
  personId: string | null;
  from: string;
  to: string;
  @ApiProperty({ enum: IDENTIFIER_CHOICES }) identifiers: IdentifierChoice;
  @ApiProperty({ enum: CHAIN_CHOICES }) chain: ChainChoice;
  protocols: string[];
  people: string[];
  lots: string[];
  runs: string[];
  shown: string[];
  /** What is written now; null unless somebody is at work on it. */
  part: string | null;
  /** Rows written, and how many there are. */
  done: number;
  total: number;
  /** When it was made, or ended otherwise. */
  endedAt: string | null;
  /** SHA-256 of the manifest. */
  manifest: string | null;
  bytes: number | null;
  /** Why it failed, and what helps. */
  message: string | null;
}

export class PackListDto {
  /** The laboratory's local day, on which a period may end at the latest. */
  today: string;
  items: PackDto[];
  /** Ask with it as `after` for more; null at the end. */
  next: string | null;
}

export class PackQueryDto extends ListDto {}
