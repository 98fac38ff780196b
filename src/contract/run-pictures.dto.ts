import { ApiProperty } from '@nestjs/swagger';
import { IsString, Length, Matches } from 'class-validator';
import { FileDto } from './files.dto.js';
import { ExposureDto } from './pictures.dto.js';
import { MayBeAbsent, One, Text } from './shape.js';

/** A picture of what a run stained, to be looked at; of a patient's it is never measured. */
export class NewRunPictureDto {
  /** The specimen, slide or control of the run that it shows. */
  @Text(64) subjectId: string;
  /** The step after which it was taken. */
  @MayBeAbsent() @Text(64) step?: string;
  @Text(64) fileId: string;
  @One(() => ExposureDto) exposure: ExposureDto;
}

export class RunPictureBackDto {
  /** Why it is taken back. */
  @IsString()
  @Length(3, 500)
  @Matches(/\S/, { message: '$property must not be blank' })
  reason: string;
}

export class RunPictureDto {
  id: string;
  subjectId: string;
  @ApiProperty({ enum: ['patient', 'control'] })
  role: 'patient' | 'control';
  @ApiProperty({ type: String, nullable: true })
  step: string | null;
  file: FileDto;
  exposure: ExposureDto;
  at: string;
  /** Who kept it. */
  person: string;
}

/** A picture of a control of the same stain and day. */
export class ControlPictureDto {
  file: FileDto;
  exposure: ExposureDto;
  /** The plan's id of the control. */
  requirement: string;
  /** The run that it was stained in; null for one without a run. */
  @ApiProperty({ type: String, nullable: true })
  runId: string | null;
  /** Whether the control reacted as expected; null while nobody has read it. */
  @ApiProperty({ type: Boolean, nullable: true })
  passed: boolean | null;
  /** When the control was read; null while nobody has. */
  @ApiProperty({ type: String, nullable: true })
  readAt: string | null;
}

export class RunPicturesDto {
  /** In the order of their taking. */
  pictures: RunPictureDto[];
  /** The run's own first, then the newest. */
  controls: ControlPictureDto[];
}
