import { ArrayMinSize, ArrayUnique, IsBoolean, IsIn, IsString, MaxLength } from 'class-validator';
import { RUN_PURPOSES, type RunPurpose } from '../core/run/events.js';
import { FromSheetDto } from './paper-sheets.dto.js';
import { Many, MayBeAbsent, One } from './shape.js';
import { BenchStampDto, Words } from './run-events.dto.js';

export class NewRunSubjectDto {
  @IsString()
  @MaxLength(64)
  subjectId: string;

  @IsIn(['patient', 'control'])
  role: 'patient' | 'control';

  /** Id of the protocol's control requirement that a control answers. */
  @MayBeAbsent()
  @IsString()
  @MaxLength(64)
  control?: string;
}

export class NewRunDto {
  @IsString()
  @MaxLength(64)
  revisionId: string;

  /** The bench place, such as 'Ultrasound 1'. */
  @Words(1, 60)
  station: string;

  @IsIn(RUN_PURPOSES)
  purpose: RunPurpose;

  @Many(() => NewRunSubjectDto, 200)
  @ArrayMinSize(1)
  @ArrayUnique((subject: NewRunSubjectDto) => subject.subjectId)
  subjects: NewRunSubjectDto[];

  /** Where it was done on paper. */
  @MayBeAbsent()
  @One(() => FromSheetDto)
  fromSheet?: FromSheetDto;
}

/** The collector's word on whose specimen it is, with the collector's own login and password. */
export class NewAttestationDto {
  @IsString()
  @MaxLength(64)
  subjectId: string;

  /** How they know, without the patient's name or number. */
  @Words(1, 1000)
  statement: string;

  @IsString()
  @MaxLength(64)
  login: string;

  @IsString()
  @MaxLength(200)
  password: string;

  @One(() => BenchStampDto)
  stamp: BenchStampDto;
}

/** The word of two people that a device will never send what it may still hold of the run. */
export class NewLostDeviceDto {
  /** As its stamps name it. */
  @Words(1, 64)
  device: string;

  @Words(3, 500)
  reason: string;

  /** The signer's own, asked again. */
  @IsString()
  @MaxLength(200)
  password: string;

  /** How the second person signs in. */
  @IsString()
  @MaxLength(64)
  secondLogin: string;

  @IsString()
  @MaxLength(200)
  secondPassword: string;

  @One(() => BenchStampDto)
  stamp: BenchStampDto;
}

export class NewAnswerDto {
  @IsString()
  @MaxLength(64)
  subjectId: string;

  @IsString()
  @MaxLength(64)
  point: string;

  @Words(1, 1000)
  words: string;

  @Words(1, 100)
  listener: string;

  @IsBoolean()
  readBack: boolean;

  @One(() => BenchStampDto)
  stamp: BenchStampDto;
}
