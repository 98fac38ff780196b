import { ApiProperty } from '@nestjs/swagger';
import { type RoundStanding, ROUND_STANDINGS } from '../core/external-assessment/round.js';
import {
  DEVIATION_STATES,
  type DeviationState,
  RESULT_EFFECTS,
  type ResultEffect,
} from '../core/deviations/deviation.js';
import { EvaluationDto } from './control-series.dto.js';

/** How long a case waited from the start of its run to its first release, ms. */
export class TurnaroundDto {
  cases: number;
  medianMs: number;
  /** Nine of ten took no longer. */
  p90Ms: number;
}

/** What was done by one protocol in runs that started in the month; counts beside what they are counted of. */
export class MonthWorkDto {
  protocolId: string;
  title: string;
  runs: number;
  runsForPatients: number;
  abandoned: number;
  /** Specimens and slides of patients in runs for patients. */
  cases: number;
  /** Those of them with a release. */
  released: number;
  /** First releases over a clear gate. */
  clear: number;
  /** First releases over findings, signed by two. */
  exceptions: number;
  amended: number;
  withdrawn: number;
  events: number;
  /** Events entered or corrected afterwards. */
  late: number;
  corrections: number;
  @ApiProperty({ type: () => TurnaroundDto, nullable: true })
  turnaround: TurnaroundDto | null;
}

/** A run with times that were entered or corrected afterwards. */
export class LateRunDto {
  runId: string;
  /** Record number of its start. */
  number: number;
  title: string;
  startedAt: string;
  events: number;
  late: number;
  corrections: number;
}

/** What a rule found in the releases of the month's runs. */
export class RuleCountDto {
  rule: string;
  title: string;
  /** Releases in whose judgement it stands. */
  releases: number;
  stops: number;
  settled: number;
  /** Gone over by an exception. */
  excepted: number;
}

export class MonthControlsDto {
  protocolId: string;
  title: string;
  /** Control tasks of the month that were needed. */
  due: number;
  answered: number;
  missed: number;
  /** Not answered, and not over yet. */
  open: number;
  /** Results of controls stained in the month. */
  results: number;
  failed: number;
  daysOfUse: number;
  daysWithout: number;
  uses: number;
  usesWithout: number;
}

export class MonthFailureDto {
  id: string;
  title: string;
  requirement: string;
  at: string;
  observed: string;
  closed: boolean;
}

export class MonthLotDto {
  lotId: string;
  what: 'expired' | 'recalled' | 'rejected';
  reagent: string;
  number: string;
  at: string;
  /** Containers that were neither empty nor discarded then. */
  containers: number;
}

export class MonthDiscardedDto {
  reagent: string;
  containers: number;
  /** What was in them by the ledger. */
  amount: number;
  unit: string;
}

/** A competence or an instrument's calibration or service that came to its end in the month. */
export class RanOutDto {
  what: 'competence' | 'calibration' | 'service';
  /** Who or which instrument. */
  name: string;
  /** In what. */
  about: string;
  at: string;
  /** When it was renewed afterwards. */
  @ApiProperty({ type: String, nullable: true })
  renewedAt: string | null;
}

export class MonthRoundDto {
  id: string;
  body: string;
  round: string;
  title: string;
  dueAt: string;
  @ApiProperty({ enum: ROUND_STANDINGS })
  standing: RoundStanding;
  @ApiProperty({ type: String, nullable: true })
  score: string | null;
  @ApiProperty({ type: Boolean, nullable: true })
  satisfactory: boolean | null;
}

/** A deviation that was opened in the month, or still open in it. */
export class MonthDeviationDto {
  id: string;
  number: number;
  title: string;
  openedAt: string;
  /** At the end of the month, or now. */
  @ApiProperty({ enum: DEVIATION_STATES })
  state: DeviationState;
  @ApiProperty({ enum: RESULT_EFFECTS })
  effect: ResultEffect;
}

/** The laboratory's month: what was done, what was found, what ran out, with what each is counted of. */
export class MonthDto {
  laboratory: string;
  zone: string;
  /** '2026-11' */
  month: string;
  from: string;
  /** First instant that no longer belongs to it. */
  to: string;
  /** False while it goes on: what is counted is up to now. */
  over: boolean;
  /** Record number of the last entry that was known. */
  seq: number;
  /** Hash of that entry. */
  hash: string;
  /** Runs with late entries or corrections, most first. */
  late: LateRunDto[];
  /** How many such runs there are. */
  lateRuns: number;
  work: MonthWorkDto[];
  findings: RuleCountDto[];
  controls: MonthControlsDto[];
  failures: MonthFailureDto[];
  /** Series of numbers with values in the month, judged. */
  series: EvaluationDto[];
  lots: MonthLotDto[];
  waste: MonthDiscardedDto[];
  ranOut: RanOutDto[];
  rounds: MonthRoundDto[];
  /** By number. */
  deviations: MonthDeviationDto[];
}
