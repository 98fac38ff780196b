import { createHash, createPublicKey, type KeyObject, sign, verify } from 'node:crypto';
import type { Instant } from '../time/instant.js';
import { canonicalText } from './record.js';

export const CHECKPOINT_FORMAT = 'stainwright-checkpoint/1';

/** What a key signs: how far a laboratory's record went, and with which hash, at an instant. */
export interface Checkpoint {
  format: typeof CHECKPOINT_FORMAT;
  laboratory: string;
  /** Number of the last entry that it covers; 0 for a record without entries. */
  seq: number;
  /** Hash of that entry. */
  hash: string;
  at: Instant;
  /** Id of the key that signs. */
  key: string;
  /** Public key in PEM that signs from here on; this is then the last statement of the key that signs. */
  next?: string;
}

/** A checkpoint as it is kept: the text that was signed, and the signature in Base64. */
export interface SignedCheckpoint {
  statement: string;
  signature: string;
}

/** Why one of a row of checkpoints is not to be believed. */
export interface CheckpointFault {
  /** Its place in the row, from 1. */
  place: number;
  /** What it says; null when that cannot be read. */
  checkpoint: Checkpoint | null;
  code: 'unreadable' | 'unknown-key' | 'signature' | 'retired-key';
  message: string;
}

/**
 * Id of an Ed25519 public key: the first 16 hex digits of SHA-256 over its DER form (SubjectPublicKeyInfo, RFC 8410).
 * By hand: `openssl pkey -pubin -in key.pem -outform DER | sha256sum`.
 */
export function keyId(publicKey: KeyObject): string {
  const der = publicKey.export({ type: 'spki', format: 'der' });
  return createHash('sha256').update(der).digest('hex').slice(0, 16);
}

/** A public key in PEM (RFC 7468). */
export function pemOf(publicKey: KeyObject): string {
  return publicKey.export({ type: 'spki', format: 'pem' }).toString();
}

/** The Ed25519 public keys in PEM text, in their order; throws when there is none or one of another kind. */
export function publicKeysIn(pem: string): KeyObject[] {
  const blocks = pem.match(/-----BEGIN PUBLIC KEY-----[^-]+-----END PUBLIC KEY-----/g) ?? [];
  const keys = blocks.map((block) => createPublicKey(block));
  if (keys.length === 0 || keys.some(({ asymmetricKeyType }) => asymmetricKeyType !== 'ed25519')) {
    throw new TypeError(
      'an Ed25519 public key is needed, in PEM between "-----BEGIN PUBLIC KEY-----" and its END line',
    );
  }
  return keys;
}

/** Signs how far a record went (Ed25519, RFC 8032) over the statement's RFC 8785 bytes; `next` hands over to another key. */
export function signCheckpoint(
  covered: Pick<Checkpoint, 'laboratory' | 'seq' | 'hash' | 'at'>,
  privateKey: KeyObject,
  next?: KeyObject,
): SignedCheckpoint {
  const checkpoint: Checkpoint = {
    format: CHECKPOINT_FORMAT,
    ...covered,
    key: keyId(createPublicKey(privateKey)),
    ...(next && { next: pemOf(next) }),
  };
  const statement = canonicalText(checkpoint);
  return { statement, signature: sign(null, Buffer.from(statement), privateKey).toString('base64') };
}

/** Whether the signature is the key's own over the statement's bytes (Ed25519, RFC 8032 section 5.1.7). */
export function holdsSignature({ statement, signature }: SignedCheckpoint, publicKey: KeyObject): boolean {
  return verify(null, Buffer.from(statement), publicKey, Buffer.from(signature, 'base64'));
}

/** What a statement says; null when it is not a checkpoint of this format in RFC 8785 form. */
export function readCheckpoint(statement: string): Checkpoint | null {
  let read: Partial<Checkpoint> | null;
  try {
    read = JSON.parse(statement) as Partial<Checkpoint> | null;
    if (read?.next !== undefined) publicKeysIn(read.next);
  } catch {
    return null;
  }
  if (read?.format !== CHECKPOINT_FORMAT || canonicalText(read) !== statement) return null;
  const { laboratory, seq, hash, at, key } = read;
  const texts = [laboratory, hash, at, key].every((each) => typeof each === 'string');
  return texts && Number.isSafeInteger(seq) ? (read as Checkpoint) : null;
}

/**
 * Which of these checkpoints, in the order in which they were signed, are to be believed by whoever trusts the public
 * keys, and what is wrong with each of the others. A key that a believed checkpoint hands over to is trusted from there
 * on, and the key that handed over signs no more for that laboratory. The same line twice counts once.
 */
export function believed(
  signed: readonly SignedCheckpoint[],
  publicKeys: readonly KeyObject[],
): { checkpoints: Checkpoint[]; faults: CheckpointFault[] } {
  const trusted = new Map(publicKeys.map((key) => [keyId(key), key]));
  const retired = new Set<string>();
  const seen = new Set<string>();
  const checkpoints: Checkpoint[] = [];
  const faults: CheckpointFault[] = [];
  signed.forEach((each, index) => {
    const line = canonicalText([each.statement, each.signature]);
    if (seen.has(line)) return;
    seen.add(line);
    const checkpoint = readCheckpoint(each.statement);
    const fault = (code: CheckpointFault['code'], message: string): void =>
      void faults.push({ place: index + 1, checkpoint, code, message });
    if (!checkpoint) return fault('unreadable', `it is no statement of the format ${CHECKPOINT_FORMAT}`);
    const { laboratory, key, next } = checkpoint;
    const publicKey = trusted.get(key);
    if (!publicKey) return fault('unknown-key', `it is signed by the key ${key}, which is none of the trusted ones`);
    if (!holdsSignature(each, publicKey)) return fault('signature', `its signature is not that of the key ${key}`);
    if (retired.has(`${laboratory} ${key}`)) {
      return fault('retired-key', `it is signed by the key ${key}, which had handed over to another before`);
    }
    checkpoints.push(checkpoint);
    if (next === undefined) return;
    retired.add(`${laboratory} ${key}`);
    for (const nextKey of publicKeysIn(next)) trusted.set(keyId(nextKey), nextKey);
  });
  return { checkpoints, faults };
}
