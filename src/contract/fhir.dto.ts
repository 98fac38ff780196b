import { ApiPropertyOptional } from '@nestjs/swagger';
import { IsIn } from 'class-validator';
import { STAFF_FORMS, type StaffForm } from '../core/fhir/facts.js';
import { IDENTIFIER_CHOICES, type IdentifierChoice } from '../core/pack/choices.js';

/** What a copy tells of people; the less, the safer. */
export class DisclosureDto {
  /** Whether patients' identifiers stand in it. */
  @ApiPropertyOptional({ enum: IDENTIFIER_CHOICES }) @IsIn(IDENTIFIER_CHOICES) identifiers: IdentifierChoice = 'masked';
  /** Whether those who worked are named in it. */
  @ApiPropertyOptional({ enum: STAFF_FORMS }) @IsIn(STAFF_FORMS) staff: StaffForm = 'named';
}
