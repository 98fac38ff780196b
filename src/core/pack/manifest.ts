import type { Instant } from '../time/instant.js';
import type { PackScope } from './pack.js';

export const PACK_FORMAT = 'stainwright-pack/1';

/** One file of a pack. */
export interface PackFile {
  name: string;
  bytes: number;
  sha256: string;
}

/** One kind of record, in `data/<name>.jsonl` and `data/<name>.csv`, which are not there when it has no row. */
export interface KindCount {
  name: string;
  /** The table that the chain names its rows by; null for rows that the chain does not pin. */
  table: string | null;
  rows: number;
  /** Whether every row that the chain names in the period is there. */
  whole: boolean;
}

/** What a pack says of itself. */
export interface Manifest {
  format: typeof PACK_FORMAT;
  pack: string;
  laboratory: { id: string; name: string; zone: string };
  program: { name: string; version: string; rules: string };
  askedBy: string | null;
  askedAt: Instant;
  madeAt: Instant;
  scope: PackScope;
  /** Record numbers of the period. */
  period: { first: number; last: number };
  chain: {
    first: number;
    last: number;
    /** Hash of the entry before the first. */
    before: string;
    /** Where the chain ended when the pack was made. */
    head: { seq: number; hash: string };
  };
  kinds: KindCount[];
  /** What should be here and could not be, in words. */
  missing: string[];
  files: PackFile[];
}

/** The text of `manifest.json`. */
export function manifestText(manifest: Manifest): string {
  return `${JSON.stringify(manifest, null, 2)}\n`;
}
