import type { FileType } from '../../core/file/file-type.js';
import { Column, Entity, Index } from 'typeorm';
import { FactRow } from './fact.js';

/** A file kept in the data folder under the hash of its content: a certificate, a picture of a control. */
@Entity('file')
@Index('file_sha256', ['laboratoryId', 'sha256'])
export class FileRow extends FactRow {
  @Column('text')
  name: string;

  /** What its first bytes say that it is, such as 'image/png'. */
  @Column('text')
  mediaType: FileType;

  @Column('integer')
  bytes: number;

  /** SHA-256 of its content in hexadecimal digits; its name in the folder. */
  @Column('text')
  sha256: string;

  @Column('text', { nullable: true })
  personId: string | null;
}
