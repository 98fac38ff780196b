import { Type } from 'class-transformer';
import { IsInt, Max, Min } from 'class-validator';
import { MayBeAbsent, RecordNumber, Text } from './shape.js';

/** Which part of the record is asked for. */
export class RecordQueryDto {
  /** Only entries about this subject. */
  @MayBeAbsent()
  @Text(64)
  subject?: string;

  /** Only entries after this record number. */
  @MayBeAbsent()
  @RecordNumber()
  after?: number;

  /** How many at most. */
  @MayBeAbsent()
  @Type(() => Number)
  @IsInt()
  @Min(1)
  @Max(500)
  take?: number;
}

/** One entry of the record: its number, its canonical bytes and the hash that chains it. */
export class EntryDto {
  seq: number;
  at: string;
  act: string;
  /** The RFC 8785 text that was hashed. */
  body: string;
  /** SHA-256 over the hash of the entry before, a line feed and the body. */
  hash: string;
}

export class RecordPageDto {
  /** Number of the last entry there is. */
  last: number;
  entries: EntryDto[];
}
