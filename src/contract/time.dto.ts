import { Type } from 'class-transformer';
import { Finite } from './shape.js';

export class TimeQuestionDto {
  /** When the caller sent this by its own clock, in milliseconds. */
  @Type(() => Number)
  @Finite()
  t1: number;
}

export class TimeAnswerDto {
  /** As the caller sent it. */
  t1: number;

  /** When the server received it, in milliseconds since 1970-01-01T00:00Z. */
  t2: number;

  /** When the server answered. */
  t3: number;
}
