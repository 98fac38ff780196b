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
