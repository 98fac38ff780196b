import { Text } from './shape.js';

export class NewHandOverNoteDto {
  /** For whoever takes over. No patient's name or number: it stands in the record. */
  @Text(1000) text: string;
}

export class HandOverNoteDoneDto {
  at: string;
  /** Their name. */
  person: string;
}

export class HandOverNoteDto {
  id: string;
  text: string;
  at: string;
  personId: string;
  /** Their name. */
  person: string;
  /** Who saw to it and when; null while it is open. */
  done: HandOverNoteDoneDto | null;
}

export class HandOverNotesDto {
  /** What is open, newest first, then what was seen to of the last eight days. */
  items: HandOverNoteDto[];
}
