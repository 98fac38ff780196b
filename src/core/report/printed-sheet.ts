import type { Protocol } from '../protocol/protocol.js';

/** A numbered sheet for work on paper, with all that is printed on it. */
export interface PrintedSheet {
  number: number;
  /** What its code says. */
  label: string;
  protocol: Protocol;
  revision: number;
  contentHash: string;
  /** Names of its reagents by code. */
  reagents: ReadonlyMap<string, string>;
}
