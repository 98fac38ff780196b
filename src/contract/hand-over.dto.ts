import { Text } from './shape.js';

export class NewHandOverNoteDto {
  /** For whoever takes over. No patient's name or number: it stands in the record. */
  @Text(1000) text: string;
}

export class HandOverNoteDto {
  id: string;
  text: string;
  at: string;
  personId: string;
  /** Their name. */
  person: string;
}

export class HandOverNotesDto {
  /** Those of the last eight days, newest first. */
  items: HandOverNoteDto[];
}
