import { ApiProperty } from '@nestjs/swagger';
import { Text } from './shape.js';

export const FOUND_KINDS = [
  'specimen',
  'slide',
  'control',
  'protocol',
  'lot',
  'container',
  'order',
  'deviation',
  'person',
  'run',
] as const;
export type FoundKind = (typeof FOUND_KINDS)[number];

export class FindDto {
  /** Part of a name, a number or a label; a maker's code, a patient's number or a run's id in full. */
  @Text(120) text: string;
}

/** A thing that was found, and the page where it is dealt with. */
export class FoundThingDto {
  @ApiProperty({ enum: FOUND_KINDS })
  kind: FoundKind;
  id: string;
  title: string;
  about: string;
  path: string;
}

export class FoundThingsDto {
  /** By kind, in each the newest first; of specimens their latest runs, at the end. */
  items: FoundThingDto[];
}
