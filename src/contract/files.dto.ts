import { ApiProperty } from '@nestjs/swagger';
import { FILE_TYPES, type FileType } from '../core/file/file-type.js';
import { Text } from './shape.js';

export class NewFileDto {
  /** What people call it, such as 'certificate TW-26-04.pdf'; no identifier of a patient. */
  @Text(200) name: string;
}

export class FileDto {
  id: string;
  name: string;
  /** What its first bytes say that it is. */
  @ApiProperty({ enum: FILE_TYPES }) mediaType: FileType;
  bytes: number;
  /** SHA-256 of its content. */
  sha256: string;
}
