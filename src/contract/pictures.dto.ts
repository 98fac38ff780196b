import { ApiProperty, ApiPropertyOptional } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayMinSize, IsArray, IsIn, IsNumber, IsString, Matches, Max } from 'class-validator';
import { PICTURE_KINDS, type Measuring, type Metrics, type PictureKind } from '../core/stain-image/measure.js';
import { PICTURE_SUBJECTS, type Exposure, type PictureSubjectKind } from '../core/stain-image/taken.js';
import { FileDto } from './files.dto.js';
import { ListDto } from './list.dto.js';
import { Amount, Many, MayBeAbsent, One, Text } from './shape.js';

export class StainDto {
  /** Lower-case letters, such as 'haematoxylin'; metrics are named after it. */
  @IsString()
  @Matches(/^[a-z]{1,20}$/, { message: '$property must be 1 to 20 lower-case letters, such as haematoxylin' })
  name: string;

  /** What it absorbs of red, green and blue light, in optical density; only the direction counts. */
  @IsArray()
  @ArrayMinSize(3)
  @ArrayMaxSize(3)
  @IsNumber({ allowNaN: false, allowInfinity: false }, { each: true })
  vector: number[];
}

export class MeasuringDto {
  @IsIn(PICTURE_KINDS) kind: PictureKind;
  /** Brightfield: three stains, or two and the rest that they leave; those of Ruifrok and Johnston when left out. */
  @MayBeAbsent() @Many(() => StainDto, 3) @ArrayMinSize(2) stains?: StainDto[];
  /** Fluorescence: the colour that the dye glows in. */
  @MayBeAbsent() @IsIn(['red', 'green', 'blue']) colour?: 'red' | 'green' | 'blue';
  /** Fluorescence: what the camera gives in the dark, 0 when left out. */
  @MayBeAbsent() @Amount() @Max(65_534) darkOffset?: number;
}

export class ExposureDto implements Exposure {
  @MayBeAbsent() @Amount() exposureMs?: number;
  @MayBeAbsent() @Amount() gain?: number;
  @MayBeAbsent() @Text(60) objective?: string;
  @MayBeAbsent() @Text(60) camera?: string;
  @MayBeAbsent() @Text(60) lamp?: string;
}

export class PictureSubjectDto {
  /** A reading of a control, a run, or a series of numbers. */
  @IsIn(PICTURE_SUBJECTS) kind: PictureSubjectKind;
  @Text(64) id: string;
  /** Which control of a run it shows, by the id of the protocol's requirement. */
  @MayBeAbsent() @Text(64) requirement?: string;
}

export class NewPictureDto {
  @Text(64) fileId: string;
  /** An empty field at the same exposure. */
  @MayBeAbsent() @Text(64) fieldFileId?: string;
  @MayBeAbsent() @One(() => PictureSubjectDto) subject?: PictureSubjectDto;
  @One(() => MeasuringDto) measuring: MeasuringDto;
  @MayBeAbsent() @One(() => ExposureDto) exposure?: ExposureDto;
}

export class PictureQueryDto extends ListDto {
  /** What kind of thing the pictures are of. */
  @MayBeAbsent() @IsIn(PICTURE_SUBJECTS) subjectKind?: PictureSubjectKind;
  /** Id of what the pictures are of. */
  @MayBeAbsent() @Text(64) subjectId?: string;
  /** The file that was measured. */
  @MayBeAbsent() @Text(64) fileId?: string;
}

/** The outline of what of a picture its figures count. */
export class OutlineDto {
  /** A PNG picture of the same field, clear but for the outline. */
  fileId: string;
  /** The metric that tells the share of what is outlined. */
  metric: string;
}

export class PictureDto {
  id: string;
  file: FileDto;
  fieldFileId: string | null;
  @ApiProperty({ type: () => PictureSubjectDto, nullable: true }) subject: PictureSubjectDto | null;
  @ApiProperty({ enum: PICTURE_KINDS }) kind: PictureKind;
  /** How it is measured, with the vectors used. */
  @ApiProperty({ type: Object }) measuring: Measuring;
  exposure: ExposureDto;
  at: string;
  personId: string | null;
  @ApiProperty({ enum: ['waiting', 'under way', 'measured', 'refused'] })
  state: 'waiting' | 'under way' | 'measured' | 'refused';
  /** From 0 to 1, while it is under way. */
  progress: number | null;
  /** Figures by metric; null for one that has nothing to measure. */
  @ApiPropertyOptional({ type: 'object', additionalProperties: { type: 'number', nullable: true } })
  metrics?: Metrics;
  measuredAt?: string;
  width?: number;
  height?: number;
  remarks: string[];
  /** Why it could not be measured. */
  refused?: string;
  outline?: OutlineDto;
}

export class PictureListDto {
  items: PictureDto[];
  next: string | null;
}
