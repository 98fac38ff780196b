import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayUnique, IsBoolean, IsIn, IsISO8601, Length } from 'class-validator';
import { IDENTIFIER_KINDS, SUBJECT_KINDS } from '../core/specimen/subject.js';
import type { IdentifierKind, SubjectKind } from '../core/specimen/subject.js';
import { ListDto } from './list.dto.js';
import { Many, MayBeAbsent, Text } from './shape.js';

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
  /** Who the patient is; kept apart from the record, which holds only salted hashes. */
  @MayBeAbsent()
  @Many(() => IdentifierDto, 3)
  @ArrayMaxSize(3)
  @ArrayUnique((identifier: IdentifierDto) => identifier.kind, { message: 'each kind of identifier may stand once' })
  identifiers?: IdentifierDto[];
}

export class SubjectQueryDto extends ListDto {
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
}

export class KnownIdentifierDto {
  @ApiProperty({ enum: IDENTIFIER_KINDS }) kind: IdentifierKind;
  /** Null once removed by law. */
  value: string | null;
}

export class SubjectDto extends SubjectSummaryDto {
  /** Slides and other pieces of it. */
  pieces: SubjectSummaryDto[];
  /** Absent for those who have no need to know the patient. */
  identifiers?: KnownIdentifierDto[];
}

export class SubjectListDto {
  items: SubjectSummaryDto[];
  /** What to ask `after` for more; null at the end. */
  next: string | null;
}
