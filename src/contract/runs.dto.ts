import { ApiExtraModels, ApiProperty, getSchemaPath } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  ArrayUnique,
  IsArray,
  IsBoolean,
  IsIn,
  IsInt,
  IsNumber,
  IsObject,
  IsOptional,
  IsString,
  Matches,
  MaxLength,
  Min,
  MinLength,
  ValidateIf,
  ValidateNested,
} from 'class-validator';
import {
  RUN_EVENT_KINDS,
  RUN_PURPOSES,
  type BenchStamp,
  type RunEventKind,
  type RunPurpose,
} from '../core/run/events.js';

const INSTANT = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/;
export const INSTANT_RULE = {
  message: '$property must be an instant in UTC with milliseconds, like 2026-11-25T09:08:17.000Z',
};

export class NewRunSubjectDto {
  @IsString()
  @MaxLength(64)
  subjectId: string;

  @IsIn(['patient', 'control'])
  role: 'patient' | 'control';

  /** Id of the protocol's control requirement that a control answers. */
  @IsOptional()
  @IsString()
  @MaxLength(64)
  control?: string;
}

export class NewRunDto {
  @IsString()
  @MaxLength(64)
  revisionId: string;

  /** The bench place, such as 'Ultrasound 1'. */
  @IsString()
  @MinLength(1)
  @MaxLength(60)
  station: string;

  @IsIn(RUN_PURPOSES)
  purpose: RunPurpose;

  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(200)
  @ArrayUnique((subject: NewRunSubjectDto) => subject.subjectId)
  @ValidateNested({ each: true })
  @Type(() => NewRunSubjectDto)
  subjects: NewRunSubjectDto[];
}

/** When it happened and by which clock; see the bench stamp of the core. */
export class BenchStampDto implements BenchStamp {
  @IsString()
  @MaxLength(64)
  device: string;

  @IsOptional()
  @IsString()
  @MaxLength(64)
  clockSession?: string;

  /** Reading of the device's steady clock, whole milliseconds; null when the time was typed in. */
  @ValidateIf((stamp: BenchStampDto) => stamp.monotonicMs !== null)
  @IsInt()
  @Min(0)
  monotonicMs: number | null;

  @Matches(INSTANT, INSTANT_RULE)
  at: string;

  /** Half width of the interval that covers the true instant; null when nothing bounds it. */
  @ValidateIf((stamp: BenchStampDto) => stamp.uncertaintyMs !== null)
  @IsInt()
  @Min(0)
  uncertaintyMs: number | null;

  /** Server clock minus device clock at the last contact; null before any. */
  @ValidateIf((stamp: BenchStampDto) => stamp.offsetMs !== null)
  @IsInt()
  offsetMs: number | null;

  @ValidateIf((stamp: BenchStampDto) => stamp.roundTripMs !== null)
  @IsInt()
  @Min(0)
  roundTripMs: number | null;

  /** True when the time was typed in afterwards. */
  @IsBoolean()
  late: boolean;
}

export class TrayScannedDto {
  @IsString()
  @MaxLength(64)
  reagent: string;

  @IsString()
  @MaxLength(64)
  container: string;

  @IsOptional()
  @IsString()
  @MaxLength(64)
  step?: string;
}

export class StepStartedDto {
  @IsString()
  @MaxLength(64)
  step: string;

  @IsOptional()
  @IsIn([true])
  again?: true;
}

export class StepEndedDto {
  @IsString()
  @MaxLength(64)
  step: string;

  /** Person whose eye ended the step; the actor when left out on a step ended by eye. */
  @IsOptional()
  @IsString()
  @MaxLength(64)
  judgedBy?: string;
}

export class TemperatureReadDto {
  @IsString()
  @MaxLength(64)
  step: string;

  @IsNumber({ allowNaN: false, allowInfinity: false })
  value: number;

  /** UCUM code. */
  @IsIn(['Cel', 'K', '[degF]'])
  unit: string;
}

export class CorrectedDto {
  @IsString()
  @MaxLength(64)
  event: string;

  @IsOptional()
  @Matches(INSTANT, INSTANT_RULE)
  at?: string;

  @IsOptional()
  @IsInt()
  @Min(0)
  uncertaintyMs?: number;

  @IsOptional()
  @IsIn([true])
  withdrawn?: true;

  @IsString()
  @MinLength(3)
  @MaxLength(500)
  reason: string;
}

export class NotedDto {
  /** Words without the patient's identity. */
  @IsString()
  @MinLength(1)
  @MaxLength(2000)
  text: string;

  @IsOptional()
  @IsString()
  @MaxLength(64)
  step?: string;

  @IsOptional()
  @IsString()
  @MaxLength(64)
  subject?: string;
}

export class ReasonDto {
  @IsString()
  @MinLength(3)
  @MaxLength(500)
  reason: string;
}

export class SubjectSpoiledDto {
  @IsString()
  @MaxLength(64)
  subject: string;

  @IsString()
  @MinLength(3)
  @MaxLength(500)
  what: string;
}

export class ControlReadDto {
  /** Id of the run's subject that is the control. */
  @IsString()
  @MaxLength(64)
  control: string;

  @IsString()
  @MinLength(1)
  @MaxLength(500)
  observed: string;

  @IsBoolean()
  passed: boolean;
}

export class AcknowledgedDto {
  /** Id of the caution. */
  @IsString()
  @MaxLength(200)
  finding: string;

  @IsOptional()
  @IsString()
  @MaxLength(500)
  reason?: string;
}

export class ResolvedDto {
  /** Id of the undecided finding. */
  @IsString()
  @MaxLength(200)
  finding: string;

  @IsBoolean()
  conforms: boolean;

  @IsString()
  @MinLength(3)
  @MaxLength(500)
  reason: string;
}

export class IdentityConfirmedDto {
  @IsString()
  @MaxLength(64)
  subject: string;
}

export class ClearedDto {
  @IsOptional()
  @IsString()
  @MaxLength(500)
  note?: string;
}

/** What each kind of event says; a spoken answer has a route of its own. */
export const EVENT_DATA = {
  'tray-scanned': TrayScannedDto,
  'step-started': StepStartedDto,
  'step-ended': StepEndedDto,
  'temperature-read': TemperatureReadDto,
  corrected: CorrectedDto,
  noted: NotedDto,
  abandoned: ReasonDto,
  'subject-spoiled': SubjectSpoiledDto,
  'control-read': ControlReadDto,
  acknowledged: AcknowledgedDto,
  resolved: ResolvedDto,
  'identity-confirmed': IdentityConfirmedDto,
  cleared: ClearedDto,
} as const satisfies Record<Exclude<RunEventKind, 'answered'>, new () => object>;

export type BenchEventKind = keyof typeof EVENT_DATA;

@ApiExtraModels(...Object.values(EVENT_DATA))
export class NewRunEventDto {
  @IsIn(RUN_EVENT_KINDS.filter((kind) => kind !== 'answered'))
  kind: BenchEventKind;

  /** What happened; its shape follows from the kind. */
  @ApiProperty({ oneOf: Object.values(EVENT_DATA).map((shape) => ({ $ref: getSchemaPath(shape) })) })
  @IsObject()
  @ValidateNested()
  @Type(
    ({ object } = { newObject: {}, object: {}, property: '' }) =>
      EVENT_DATA[(object as NewRunEventDto).kind] ?? ClearedDto,
  )
  data: InstanceType<(typeof EVENT_DATA)[BenchEventKind]>;

  @ValidateNested()
  @IsObject()
  @Type(() => BenchStampDto)
  stamp: BenchStampDto;
}

export class NewAnswerDto {
  @IsString()
  @MaxLength(64)
  subjectId: string;

  @IsString()
  @MaxLength(64)
  point: string;

  @IsString()
  @MinLength(1)
  @MaxLength(1000)
  words: string;

  @IsString()
  @MinLength(1)
  @MaxLength(100)
  listener: string;

  @IsBoolean()
  readBack: boolean;

  @ValidateNested()
  @IsObject()
  @Type(() => BenchStampDto)
  stamp: BenchStampDto;
}

export class NewReleaseDto {
  @IsString()
  @MaxLength(64)
  subjectId: string;

  @IsString()
  @MaxLength(64)
  point: string;

  @IsIn(['stained material', 'adequacy', 'preliminary impression'])
  kind: 'stained material' | 'adequacy' | 'preliminary impression';

  /** The statement or impression; needed for all but stained material. */
  @IsOptional()
  @IsString()
  @MinLength(1)
  @MaxLength(2000)
  words?: string;

  /** The signer's own, asked again at each signature. */
  @IsString()
  @MaxLength(200)
  password: string;
}
