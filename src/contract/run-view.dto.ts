import { ApiProperty } from '@nestjs/swagger';
import { type Finding, WEIGHTS, type Weight } from '../core/gate/finding.js';
import type { Judgement, PointJudgement, SubjectJudgement } from '../core/gate/judge.js';
import { CONTAINER_STATES, type ContainerState, LOT_STANDINGS, type LotStanding } from '../core/lot/lot.js';
import { SIGNATURE_MEANINGS, type Signature, type SignatureMeaning } from '../core/record/signature.js';
import {
  RUN_EVENT_KINDS,
  RUN_PURPOSES,
  type RunEvent,
  type RunEventKind,
  type RunPurpose,
  type Verdict,
} from '../core/run/events.js';
import { POINT_STANDINGS, type PointStanding, type StoodPoint, type StoodSubject } from '../core/release/standing.js';
import { PlannedControlDto } from './control-plans.dto.js';
import { ProtocolDto } from './protocol.dto.js';
import { KeptStampDto } from './run-events.dto.js';

const VERDICTS = ['clear', 'held'] as const satisfies readonly Verdict[];

export class RunEventDto {
  id: string;
  runId: string;
  /** Record number of the act that wrote it. */
  seq: number;
  @ApiProperty({ enum: RUN_EVENT_KINDS })
  kind: RunEventKind;
  /** What happened; its shape follows from the kind. */
  @ApiProperty({ type: 'object', additionalProperties: true })
  data: RunEvent['data'];
  stamp: KeptStampDto;
  personId: string;
  receivedAt: string;
}

export class LimitDto {
  /** 'expiry', 'opened', 'prepared' or a component's. */
  by: string;
  /** First instant at which it may no longer be used. */
  until: string;
}

export class LotDecisionDto {
  at: string;
  @ApiProperty({ enum: LOT_STANDINGS })
  standing: LotStanding;
  seq: number;
}

export class LotFactsDto {
  id: string;
  number: string;
  standing: LotDecisionDto[];
}

export class ContainerChangeDto {
  at: string;
  @ApiProperty({ enum: CONTAINER_STATES })
  state: ContainerState;
}

export class BathPassedDto {
  at: string;
  slides: number;
  runId: string;
}

export class BathFilteredDto {
  at: string;
  /** Until when it counts as filtered; null when it need not be. */
  until: string | null;
}

/** What wears a bath out. */
export class BathFactsDto {
  maxSlides: number | null;
  passed: BathPassedDto[];
  filterEvery: string | null;
  filtered: BathFilteredDto[];
}

export class ContainerFactsDto {
  id: string;
  label: string;
  reagent: string;
  acceptedAs?: string[];
  lot: LotFactsDto;
  states: ContainerChangeDto[];
  limits: LimitDto[];
  /** Absent for what is no bath. */
  bath?: BathFactsDto;
}

export class RunRevisionDto {
  id: string;
  number: number;
  content: ProtocolDto;
}

export class RunSubjectViewDto {
  id: string;
  subjectId: string;
  @ApiProperty({ enum: ['patient', 'control'] })
  role: 'patient' | 'control';
  control?: string;
  label: string;
  description: string;
  @ApiProperty({ enum: ['specimen', 'slide', 'control'] })
  kind: 'specimen' | 'slide' | 'control';
  @ApiProperty({ type: String, nullable: true })
  takenAt: string | null;
  /** No second piece can be had: its collector may attest whose it is. */
  irreplaceable: boolean;
}

/** A run with its revision, subjects, events and the containers on its tray. */
export class RunViewDto {
  id: string;
  station: string;
  @ApiProperty({ enum: RUN_PURPOSES })
  purpose: RunPurpose;
  startedAt: string;
  personId: string;
  revision: RunRevisionDto;
  subjects: RunSubjectViewDto[];
  /** The controls that it may carry, as its plan had them when it started. */
  controls: PlannedControlDto[];
  events: RunEventDto[];
  containers: ContainerFactsDto[];
  /** What was said, by the id that a spoken answer carries. */
  @ApiProperty({ type: 'object', additionalProperties: { type: 'string' } })
  words: Record<string, string>;
  /** Names by person id of the people who appear in the events. */
  @ApiProperty({ type: 'object', additionalProperties: { type: 'string' } })
  people: Record<string, string>;
}

/** A run in a list. */
export class RunSummaryDto {
  id: string;
  station: string;
  @ApiProperty({ enum: RUN_PURPOSES })
  purpose: RunPurpose;
  startedAt: string;
  /** Title of its protocol. */
  title: string;
  revisionNumber: number;
  /** Whether it stands on a bench now. */
  onBench: boolean;
}

export class RunListDto {
  items: RunSummaryDto[];
  /** What to ask with as `after` for the next part; null at the end. */
  @ApiProperty({ type: String, nullable: true })
  next: string | null;
}

export class StoodPointDto implements StoodPoint {
  point: string;
  title: string;
  @ApiProperty({ enum: POINT_STANDINGS })
  standing: PointStanding;
  /** Codes of the rules that hold it, each once; empty unless it is held. */
  heldBy: string[];
}

export class StoodSubjectDto implements StoodSubject {
  subjectId: string;
  label: string;
  /** In the order of the protocol. */
  points: StoodPointDto[];
}

/** A run in a list, with where each patient's specimen or slide of it stands. */
export class StoodRunDto extends RunSummaryDto {
  subjects: StoodSubjectDto[];
}

export class StoodRunListDto {
  items: StoodRunDto[];
  /** Older ones that still stand on a bench; only in the first part, and only where nothing is looked for. */
  older: StoodRunDto[];
  /** What to ask with as `after` for the next part; null at the end. */
  @ApiProperty({ type: String, nullable: true })
  next: string | null;
}

export class BenchDto {
  serverTime: string;
  runs: RunViewDto[];
}

/** One reason why a container may not be used. */
export class UnusableReasonDto {
  code: string;
  against?: string;
  message: string;
}

export class RecordedEventDto {
  event: RunEventDto;
  /** Of a container put on the tray: every reason why it may not be used; empty when it may. */
  unusable: UnusableReasonDto[];
}

export class FindingDto implements Finding {
  id: string;
  rule: string;
  @ApiProperty({ enum: WEIGHTS })
  weight: Weight;
  @ApiProperty({ type: String, nullable: true })
  subjectId: string | null;
  what: string;
  @ApiProperty({ type: String, nullable: true })
  at: string | null;
  @ApiProperty({ type: String, nullable: true })
  measured: string | null;
  @ApiProperty({ type: String, nullable: true })
  against: string | null;
  mend: string;
  source: string;
  /** False where no exception can let the result out over it. */
  excusable: boolean;
  settled: boolean;
}

export class PointJudgementDto implements PointJudgement {
  point: string;
  title: string;
  @ApiProperty({ enum: VERDICTS })
  verdict: Verdict;
  findings: FindingDto[];
}

export class SubjectJudgementDto implements SubjectJudgement {
  subjectId: string;
  label: string;
  points: PointJudgementDto[];
}

export class JudgementDto implements Judgement {
  /** Facts up to this record number were judged. */
  judgedTo: number;
  /** Version of the rules. */
  rules: string;
  subjects: SubjectJudgementDto[];
}

export class AttestedDto {
  event: RunEventDto;
}

export class LostDeviceDto {
  event: RunEventDto;
}

export class AnsweredDto {
  event: RunEventDto;
  judgement: PointJudgementDto;
}

export class SignatureDto implements Signature {
  personId: string;
  name: string;
  at: string;
  @ApiProperty({ enum: SIGNATURE_MEANINGS })
  meaning: SignatureMeaning;
  recordHash: string;
}
