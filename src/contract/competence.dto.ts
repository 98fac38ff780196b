import { ApiProperty } from '@nestjs/swagger';
import { IsIn, Matches } from 'class-validator';
import {
  ASSESSMENT_ELEMENTS,
  type AssessmentElement,
  COMPETENCE_DECISIONS,
  type CompetenceDecision,
  type CompetenceStanding,
} from '../core/competence/competence.js';
import type { Signature } from '../core/record/signature.js';
import { SignatureDto } from './run-view.dto.js';
import { Many, MayBeAbsent, Text } from './shape.js';

const STANDINGS = [
  'competent',
  'in training',
  'lapsed',
  'to be assessed anew',
  'not competent',
] as const satisfies CompetenceStanding[];

export class SeenElementDto {
  @IsIn(ASSESSMENT_ELEMENTS) element: AssessmentElement;
  /** What was seen, or why it does not apply. */
  @Text(500) evidence: string;
}

export class NewCompetenceDto {
  @Text(64) protocolId: string;
  @IsIn(COMPETENCE_DECISIONS) decision: CompetenceDecision;
  /** Last local day on which it counts; the longest that the published rule allows when left out. */
  @MayBeAbsent()
  @Matches(/^\d{4}-\d\d-\d\d$/, { message: '$property must be a day such as 2027-03-31' })
  lastDay?: string;
  @Many(() => SeenElementDto, 6) elements: SeenElementDto[];
  @Text(500) reason: string;
  @Text(200) password: string;
}

export class CompetenceActDto {
  id: string;
  @ApiProperty({ enum: COMPETENCE_DECISIONS }) decision: CompetenceDecision;
  at: string;
  /** Number of the revision on which it was assessed. */
  revision: number;
  until: string | null;
  elements: SeenElementDto[];
  reason: string;
  @ApiProperty({ type: () => SignatureDto }) signature: Signature;
}

/** Where one person stands with one protocol. */
export class CompetenceDto {
  personId: string;
  protocolId: string;
  @ApiProperty({ enum: STANDINGS }) standing: CompetenceStanding;
  /** When it must be decided anew; null where nothing was decided or it does not end. */
  until: string | null;
  /** Start of the first run for patients in this protocol; null before it. */
  firstRunAt: string | null;
  /** Decisions, newest first. */
  acts: CompetenceActDto[];
}

export class CompetenceProtocolDto {
  protocolId: string;
  title: string;
  /** Number of the revision in force. */
  revision: number;
  /** Lowest revision number on which an assessment still counts. */
  assessedFrom: number;
}

export class CompetencePersonDto {
  id: string;
  name: string;
  disabled: boolean;
}

/** Who may do what: every protocol in force, everybody who works at the bench, and where each stands. */
export class CompetenceListDto {
  protocols: CompetenceProtocolDto[];
  people: CompetencePersonDto[];
  items: CompetenceDto[];
}
