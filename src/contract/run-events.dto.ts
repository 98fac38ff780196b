import { ApiExtraModels, ApiProperty, getSchemaPath } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayUnique,
  IsArray,
  IsBoolean,
  IsIn,
  IsInt,
  IsNumber,
  IsObject,
  IsString,
  Length,
  Matches,
  Max,
  MaxLength,
  Min,
  ValidateIf,
  ValidateNested,
} from 'class-validator';
import { GRADES, READINGS, type CriterionGrade, type ReadingKind } from '../core/controls/result.js';
import { RUN_EVENT_KINDS, type BenchStamp, type RunEventKind } from '../core/run/events.js';
import { Id, IsInstant, Many, MayBeAbsent, One } from './shape.js';

/** Whole milliseconds that arithmetic on instants keeps exact. */
function Milliseconds(min: number): PropertyDecorator {
  return (target, property) => {
    for (const rule of [IsInt(), Min(min), Max(LONGEST_MS)]) rule(target, property);
  };
}

/** A bench fills a page's store with more than this in no working day. */
const MOST_UNSENT = 100_000;

/** A hundred years: no clock of a bench runs longer, and no uncertainty says more than "unknown". */
const LONGEST_MS = 100 * 365 * 86_400_000;

/** What a person says, of which at least something can be read. */
export function Words(min: number, max: number): PropertyDecorator {
  return (target, property) => {
    for (const rule of [IsString(), Length(min, max), Matches(/\S/, { message: '$property must not be blank' })])
      rule(target, property);
  };
}

/** When it happened and by which clock; see the bench stamp of the core. */
export class BenchStampDto implements BenchStamp {
  @Words(1, 64)
  device: string;

  @MayBeAbsent()
  @IsString()
  @MaxLength(64)
  clockSession?: string;

  /** Reading of the device's steady clock, whole milliseconds; null when the time was typed in. */
  @ValidateIf((stamp: BenchStampDto) => stamp.monotonicMs !== null)
  @Milliseconds(0)
  monotonicMs: number | null;

  @IsInstant()
  at: string;

  /** Half width of the interval that covers the true instant; null when nothing bounds it. */
  @ValidateIf((stamp: BenchStampDto) => stamp.uncertaintyMs !== null)
  @Milliseconds(0)
  uncertaintyMs: number | null;

  /** Server clock minus device clock at the last contact; null before any. */
  @ValidateIf((stamp: BenchStampDto) => stamp.offsetMs !== null)
  @Milliseconds(-LONGEST_MS)
  offsetMs: number | null;

  @ValidateIf((stamp: BenchStampDto) => stamp.roundTripMs !== null)
  @Milliseconds(0)
  roundTripMs: number | null;

  /** Half width of the interval around the steady clock's reading beyond its drift; absent where a program read it. */
  @MayBeAbsent()
  @Milliseconds(0)
  readingUncertaintyMs?: number;

  /** True when the time was typed in afterwards. */
  @IsBoolean()
  late: boolean;

  /** How many more events of the run the device held when it sent this one; absent where it holds none back. */
  @MayBeAbsent()
  @IsInt()
  @Min(0)
  @Max(MOST_UNSENT)
  unsent?: number;
}

/** Under which day pass it was entered without a network. */
export class DayPassProofDto {
  /** Id of the pass. */
  @Words(1, 64)
  id: string;

  /** ECDSA with SHA-256 over the event with its pass, key and run, in Base64url. */
  @Words(1, 200)
  proof: string;
}

/** A stamp as it is kept. */
export class KeptStampDto extends BenchStampDto {
  @MayBeAbsent()
  @One(() => DayPassProofDto)
  pass?: DayPassProofDto;
}

export class TrayScannedDto {
  @IsString()
  @MaxLength(64)
  reagent: string;

  @IsString()
  @MaxLength(64)
  container: string;

  @MayBeAbsent()
  @IsString()
  @MaxLength(64)
  step?: string;
}

export class StepStartedDto {
  @IsString()
  @MaxLength(64)
  step: string;

  @MayBeAbsent()
  @IsIn([true])
  again?: true;
}

export class StepEndedDto {
  @IsString()
  @MaxLength(64)
  step: string;

  /** Person whose eye ended the step; the actor when left out on a step ended by eye. */
  @MayBeAbsent()
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

  @MayBeAbsent()
  @IsInstant()
  at?: string;

  @MayBeAbsent()
  @Milliseconds(0)
  uncertaintyMs?: number;

  @MayBeAbsent()
  @IsIn([true])
  withdrawn?: true;

  @Words(3, 500)
  reason: string;
}

export class NotedDto {
  /** Words without the patient's identity. */
  @Words(1, 2000)
  text: string;

  @MayBeAbsent()
  @IsString()
  @MaxLength(64)
  step?: string;

  @MayBeAbsent()
  @IsString()
  @MaxLength(64)
  subject?: string;
}

export class ReasonDto {
  @Words(3, 500)
  reason: string;
}

export class SubjectSpoiledDto {
  @IsString()
  @MaxLength(64)
  subject: string;

  @Words(3, 500)
  what: string;
}

export class CriterionReadingDto {
  /** Code of the criterion, such as 'nuclear-crispness'. */
  @Id() criterion: string;

  /** 'pass' or 'fail', or graded from 0 (none) to 3 (strong). */
  @ApiProperty({ enum: GRADES })
  @IsIn(GRADES)
  grade: CriterionGrade;

  /** What was seen where it was not as it should be. */
  @MayBeAbsent()
  @Words(1, 200)
  seen?: string;
}

export class ControlReadDto {
  /** Id of the run's subject that is the control. */
  @IsString()
  @MaxLength(64)
  control: string;

  @Words(1, 500)
  observed: string;

  @IsBoolean()
  passed: boolean;

  /** Whose reading it is: the first one's when left out. */
  @MayBeAbsent()
  @IsIn(READINGS)
  reading?: ReadingKind;

  @MayBeAbsent()
  @Many(() => CriterionReadingDto, 20)
  criteria?: CriterionReadingDto[];

  /** Ids of files with pictures of it. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(12)
  @ArrayUnique()
  @IsString({ each: true })
  @Length(1, 64, { each: true })
  pictures?: string[];
}

export class AcknowledgedDto {
  /** Id of the caution. */
  @IsString()
  @MaxLength(200)
  finding: string;

  @MayBeAbsent()
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

  @Words(3, 500)
  reason: string;
}

export class IdentityConfirmedDto {
  @IsString()
  @MaxLength(64)
  subject: string;
}

export class SupervisedDto {
  /** Id of the person who stands by. */
  @IsString()
  @MaxLength(64)
  supervisor: string;
}

export class DeviceSettledDto {
  /** The device that speaks, as in the stamp. */
  @Words(1, 64)
  device: string;
}

export class ClearedDto {
  @MayBeAbsent()
  @IsString()
  @MaxLength(500)
  note?: string;
}

/** Kinds with routes of their own. */
const SIGNED_KINDS = ['answered', 'attested', 'device-lost'] as const satisfies readonly RunEventKind[];
type SignedKind = (typeof SIGNED_KINDS)[number];

/** What each kind of event says; a spoken answer, an attestation and a lost device have routes of their own. */
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
  supervised: SupervisedDto,
  'device-settled': DeviceSettledDto,
  cleared: ClearedDto,
} as const satisfies Record<Exclude<RunEventKind, SignedKind>, new () => object>;

export type BenchEventKind = keyof typeof EVENT_DATA;

@ApiExtraModels(...Object.values(EVENT_DATA))
export class NewRunEventDto {
  @IsIn(RUN_EVENT_KINDS.filter((kind) => !SIGNED_KINDS.some((signed) => signed === kind)))
  kind: BenchEventKind;

  /** What happened; its shape follows from the kind. */
  @ApiProperty({ oneOf: Object.values(EVENT_DATA).map((shape) => ({ $ref: getSchemaPath(shape) })) })
  @IsObject()
  @ValidateNested()
  @Type(({ object } = { newObject: {}, object: {}, property: '' }) =>
    Object.hasOwn(EVENT_DATA, (object as NewRunEventDto).kind)
      ? EVENT_DATA[(object as NewRunEventDto).kind]
      : ClearedDto,
  )
  data: InstanceType<(typeof EVENT_DATA)[BenchEventKind]>;

  @One(() => BenchStampDto)
  stamp: BenchStampDto;

  /** Where it was entered under a day pass: then the person of the pass did it, whoever sends it. */
  @MayBeAbsent()
  @One(() => DayPassProofDto)
  pass?: DayPassProofDto;
}
