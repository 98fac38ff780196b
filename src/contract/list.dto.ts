import { ApiPropertyOptional, IntersectionType } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { IsInt, Max, Min } from 'class-validator';
import { MayBeAbsent, Text } from './shape.js';

/** Which part of a long list is asked for. */
export class ListDto {
  /** How many at most. */
  @ApiPropertyOptional()
  @MayBeAbsent()
  @Type(() => Number)
  @IsInt()
  @Min(1)
  @Max(200)
  take: number = 50;

  /** The `next` of the part before. */
  @MayBeAbsent()
  @Text(64)
  after?: string;
}

/** What somebody looks for in a list. */
export class FindInListDto {
  /** Text that stands in what the list shows of a thing, whatever its case. */
  @MayBeAbsent()
  @Text(100)
  find?: string;
}

/** Which part of a long list is asked for, and what is looked for in it. */
export class FindListDto extends IntersectionType(FindInListDto, ListDto) {}
