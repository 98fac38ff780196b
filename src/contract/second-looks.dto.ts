import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { IsIn } from 'class-validator';
import { SECOND_LOOK_CAUSES, type SecondLookCause } from '../core/second-look/acts.js';
import { ListDto } from './list.dto.js';
import { ReleaseDto } from './releases.dto.js';

const LISTS = ['in question', 'looked at again', 'closed'] as const;

export class LookedAtQueryDto extends ListDto {
  /** Those in question; those that the gate has not answered; or those that were in question and are so no more. */
  @ApiPropertyOptional({ enum: LISTS })
  @IsIn(LISTS)
  list: (typeof LISTS)[number] = 'in question';
}

/** A release that is or was looked at again, with what it is of. */
export class LookedAtReleaseDto {
  release: ReleaseDto;
  /** Title of the run's protocol. */
  title: string;
  station: string;
  /** Our label on the specimen or slide. */
  label: string;
  description: string;
}

export class LookedAtListDto {
  items: LookedAtReleaseDto[];
  next: string | null;
}

/** An act that changed what releases had used, and how far the job is that asks the gate again. */
export class SecondLookDto {
  id: string;
  @ApiProperty({ enum: SECOND_LOOK_CAUSES })
  cause: SecondLookCause;
  causeId: string;
  reason: string;
  /** Page where its cause is seen. */
  path: string;
  at: string;
  /** Who did it; null for a device or the program. */
  @ApiProperty({ type: String, nullable: true })
  personId: string | null;
  @ApiProperty({ type: String, nullable: true })
  person: string | null;
  /** How many releases it asks of. */
  asked: number;
  /** How many of them the gate has answered. */
  answered: number;
  /** How many of those worsened. */
  worsened: number;
}

export class SecondLookListDto {
  items: SecondLookDto[];
  next: string | null;
}
