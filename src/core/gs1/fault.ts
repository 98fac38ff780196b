/** What was wrong in a scanned text, where (character, counted from 1), and what would be right. */
export interface Gs1Error {
  code: Gs1ErrorCode;
  message: string;
  at: number;
}

export type Gs1ErrorCode =
  | 'GS1_NO_SYMBOLOGY_IDENTIFIER'
  | 'GS1_CARRIER'
  | 'GS1_EMPTY'
  | 'GS1_BRACKETS'
  | 'GS1_UNKNOWN_AI'
  | 'GS1_VALUE_EMPTY'
  | 'GS1_VALUE_SHORT'
  | 'GS1_VALUE_LONG'
  | 'GS1_CHARACTER'
  | 'GS1_CHECK_DIGIT'
  | 'GS1_DATE'
  | 'GS1_CONTENT'
  | 'GS1_REPEATED'
  | 'GS1_MISSING_AI'
  | 'GS1_NEVER_WITH'
  | 'GS1_LINK';

/** Carries an error out of the parser; every exported reader turns it into a result. */
export class Gs1Fault extends Error {
  constructor(
    readonly code: Gs1ErrorCode,
    readonly at: number,
    message: string,
  ) {
    super(message);
    this.name = 'Gs1Fault';
  }
}
