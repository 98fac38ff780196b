import { Type } from 'class-transformer';
import { IsInt, IsOptional, IsString, Max, MaxLength, Min } from 'class-validator';

/** Which part of the record is asked for. */
export class RecordQueryDto {
  /** Only entries about this subject. */
  @IsOptional()
  @IsString()
  @MaxLength(64)
  subject?: string;

  /** Only entries after this record number. */
  @IsOptional()
  @Type(() => Number)
  @IsInt()
  @Min(0)
  after?: number;

  @IsOptional()
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
