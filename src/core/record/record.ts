import { hash } from 'node:crypto';
import canonicalize from 'canonicalize';
import type { Instant } from '../time/instant.js';
import { plainNumbers } from './scan.js';

/** A fact row written by an act, named by its table and id and pinned by the hash of its content. */
export interface RowMark {
  table: string;
  id: string;
  sha256: string;
}

/** What one act appends to the laboratory's record. Patients' identifiers never stand here: only hashes of salted rows. */
export interface Entry {
  v: 1;
  laboratory: string;
  /** 1 for the first act of the laboratory, then one more each time. */
  seq: number;
  at: Instant;
  actor: { person: string | null; device: string | null };
  /** Topic and verb, such as 'run.step-started'. */
  act: string;
  subject: { kind: string; id: string };
  data: Record<string, unknown>;
  rows: RowMark[];
}

/** An entry as stored: the canonical bytes themselves and their place in the chain. */
export interface ChainLink {
  seq: number;
  body: string;
  hash: string;
}

/** The hash that stands before the first entry. */
export const GENESIS = '0'.repeat(64);

/** RFC 8785 canonical text of a JSON value. `canonicalText({ b: 1, a: 2 })` is '{"a":2,"b":1}'. */
export function canonicalText(value: unknown): string {
  const text = canonicalize(value);
  if (text === undefined) throw new TypeError('only JSON values have a canonical form');
  return text;
}

/** SHA-256 (FIPS 180-4) of UTF-8 text, as 64 hex digits. */
export function sha256(text: string): string {
  return hash('sha256', text, 'hex');
}

/** Hash of a row's content, over the RFC 8785 bytes of all its columns. */
export function rowHash(row: Record<string, unknown>): string {
  return sha256(canonicalText(row));
}

/** Hash of an entry in its chain: SHA-256 over the previous hash, a line feed and the entry's canonical bytes. */
export function chainHash(previous: string, body: string): string {
  return sha256(`${previous}\n${body}`);
}

/** The link that `entry` makes after the hash `previous`. */
export function linkOf(previous: string, entry: Entry): ChainLink {
  const body = canonicalText(entry);
  return { seq: entry.seq, body, hash: chainHash(previous, body) };
}

/** What is wrong at one place of a chain. */
export interface ChainFault {
  seq: number;
  code: 'gap' | 'changed' | 'misplaced' | 'not-canonical';
  message: string;
}

/**
 * Checks one link against the one before it: numbers without a gap, the hash, the entry's own number and its canonical
 * form. Answers null when it holds. A whole chain holds when every link does.
 */
export function linkFault(previous: { seq: number; hash: string }, link: ChainLink): ChainFault | null {
  const { seq } = link;
  if (seq !== previous.seq + 1) {
    return {
      seq,
      code: 'gap',
      message: `entry ${seq} follows ${previous.seq}: ${seq - previous.seq - 1} entries are missing or out of order`,
    };
  }
  if (chainHash(previous.hash, link.body) !== link.hash) {
    return {
      seq,
      code: 'changed',
      message: `entry ${seq} or the hash before it was changed: its hash does not follow from its bytes`,
    };
  }
  if (plainNumbers(link.body)?.get('seq') === seq) return null;
  const entry = JSON.parse(link.body) as Entry;
  if (entry.seq !== seq) {
    return { seq, code: 'misplaced', message: `entry ${seq} says that it is entry ${entry.seq}` };
  }
  if (canonicalText(entry) !== link.body) {
    return { seq, code: 'not-canonical', message: `entry ${seq} is not in RFC 8785 canonical form` };
  }
  return null;
}
