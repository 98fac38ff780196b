import { IsIn } from 'class-validator';
import { IDENTIFIER_CHOICES, type IdentifierChoice } from '../core/pack/choices.js';
import { EvaluationQueryDto } from './control-series.dto.js';
import { MayBeAbsent } from './shape.js';

/** The papers that a report is made for. */
const PAPERS = ['A4', 'Letter'] as const;

export class ReportQueryDto {
  /** A4 when left out. */
  @MayBeAbsent()
  @IsIn(PAPERS)
  paper?: (typeof PAPERS)[number];
}

export class RunReportQueryDto extends ReportQueryDto {
  /** Whether what tells whose a specimen is stands in it; masked when left out. */
  @MayBeAbsent()
  @IsIn(IDENTIFIER_CHOICES)
  identifiers?: IdentifierChoice;
}

export class ChartReportQueryDto extends EvaluationQueryDto {
  /** A4 when left out. */
  @MayBeAbsent()
  @IsIn(PAPERS)
  paper?: (typeof PAPERS)[number];
}
