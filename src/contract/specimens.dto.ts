import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayUnique, IsBoolean, IsIn, IsISO8601, Length } from 'class-validator';
import { CYTOLOGY, type Cytology } from '../core/specimen/cytology.js';
import { IDENTIFIER_KINDS, SUBJECT_KINDS } from '../core/specimen/subject.js';
import type { IdentifierKind, SubjectKind } from '../core/specimen/subject.js';
import { TISSUE_MOMENTS, TISSUE_TESTS, type TissueMoment, type TissueTest } from '../core/specimen/tissue.js';
import { FindInListDto, ListDto } from './list.dto.js';
import { Id, Many, MayBeAbsent, Text } from './shape.js';

export class IdentifierDto {
  @IsIn(IDENTIFIER_KINDS) kind: IdentifierKind;
  @Text(200) value: string;
}

export class NewSubjectDto {
  @IsIn(SUBJECT_KINDS) kind: SubjectKind;
  /** Text of our own label on it, when it carries one already. */
  @MayBeAbsent() @Text(60) label?: string;
  /** Id of the specimen, or piece of control material, that it was cut or smeared from. */
  @MayBeAbsent() @Text(64) parentId?: string;
  /** What it is, in words without the patient: 'core, neck lymph node, left'. */
  @Text(300) description: string;
  /** When it left the body. */
  @MayBeAbsent() @IsISO8601({ strict: true, strictSeparator: true }) @Length(20, 35) takenAt?: string;
  /** Whether no second piece can be had. */
  @IsBoolean() irreplaceable: boolean;
  /** What cytology it is; a slide takes it from its specimen when it is left out. */
  @MayBeAbsent() @IsIn(CYTOLOGY) cytology?: Cytology;
  /** A planned test that asks how the tissue was handled before; a slide takes it from its specimen. */
  @MayBeAbsent() @IsIn(TISSUE_TESTS) tissueTest?: TissueTest;
  /** Who the patient is; kept apart from the record, which holds only salted hashes. */
  @MayBeAbsent()
  @Many(() => IdentifierDto, 3)
  @ArrayMaxSize(3)
  @ArrayUnique((identifier: IdentifierDto) => identifier.kind, { message: 'each kind of identifier may stand once' })
  identifiers?: IdentifierDto[];
}

/** Which specimens, slides and controls go into a file. */
export class SubjectChoiceDto extends FindInListDto {
  /** Those cut or smeared from this one. */
  @MayBeAbsent() @Text(64) parentId?: string;
}

export class SubjectQueryDto extends ListDto {
  /** Its whole label. */
  @MayBeAbsent() @Text(60) label?: string;
  /** Those cut or smeared from this one. */
  @MayBeAbsent() @Text(64) parentId?: string;
}

/** A specimen, slide or piece of control material, without the patient. */
export class SubjectSummaryDto {
  id: string;
  @ApiProperty({ enum: SUBJECT_KINDS }) kind: SubjectKind;
  label: string;
  parentId: string | null;
  description: string;
  takenAt: string | null;
  irreplaceable: boolean;
  @ApiProperty({ enum: CYTOLOGY, nullable: true }) cytology: Cytology | null;
  @ApiProperty({ enum: TISSUE_TESTS, nullable: true }) tissueTest: TissueTest | null;
}

export class NewTissueMomentDto {
  @IsIn(TISSUE_MOMENTS) kind: TissueMoment;
  @IsISO8601({ strict: true, strictSeparator: true }) @Length(20, 35) at: string;
  /** Code of the fixative; only when it goes in. */
  @MayBeAbsent() @Id() fixative?: string;
  /** Why it is said anew, where it was said before. */
  @MayBeAbsent() @Text(500) reason?: string;
}

/** When a specimen went into fixative or came out of it; of one kind the last recorded counts. */
export class TissueMomentDto {
  @ApiProperty({ enum: TISSUE_MOMENTS }) kind: TissueMoment;
  at: string;
  fixative: string | null;
  person: string | null;
  reason: string | null;
}

export class KnownIdentifierDto {
  @ApiProperty({ enum: IDENTIFIER_KINDS }) kind: IdentifierKind;
  /** Null once removed by law. */
  value: string | null;
}

export class SubjectDto extends SubjectSummaryDto {
  /** Slides and other pieces of it. */
  pieces: SubjectSummaryDto[];
  /** What was recorded of its way through fixative, in the order of the record. */
  moments: TissueMomentDto[];
  /** Absent for those who have no need to know the patient. */
  identifiers?: KnownIdentifierDto[];
}

export class SubjectListDto {
  items: SubjectSummaryDto[];
  /** What to ask `after` for more; null at the end. */
  next: string | null;
}
