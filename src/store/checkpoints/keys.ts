import { createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject } from 'node:crypto';
import { existsSync, linkSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { v7 as newId } from 'uuid';
import type { CheckpointPlaces } from '../../config.js';
import { keyId, pemOf, publicKeysIn } from '../../core/record/checkpoint.js';

/** The private key that signs checkpoints, made at first use. */
export function signingKey(places: CheckpointPlaces): KeyObject {
  return keyIn(places.keyFile, places);
}

/** The private key that will sign after a rotation; a rotation that was interrupted goes on with the same. */
export function nextKey(places: CheckpointPlaces): KeyObject {
  return keyIn(nextFile(places), places);
}

/** Puts the next key in the place of the one that handed over to it, which is gone from then on. */
export function takeNextKey(places: CheckpointPlaces): void {
  renameSync(nextFile(places), places.keyFile);
}

/** Every public key that this installation has used. */
export function publicKeysHere({ publicKeys }: CheckpointPlaces): KeyObject[] {
  if (!existsSync(publicKeys)) return [];
  return readdirSync(publicKeys)
    .filter((name) => name.endsWith('.pem'))
    .sort()
    .flatMap((name) => publicKeysOf(join(publicKeys, name)));
}

/** The public keys in a PEM file; the error names the file. */
export function publicKeysOf(file: string): KeyObject[] {
  try {
    return publicKeysIn(readFileSync(file, 'utf8'));
  } catch (error) {
    throw new Error(`${file} gives no public key: ${(error as Error).message}`, { cause: error });
  }
}

function nextFile({ keyFile }: CheckpointPlaces): string {
  return `${keyFile}.next`;
}

function keyIn(file: string, { publicKeys }: CheckpointPlaces): KeyObject {
  const key = readKey(file) ?? makeKey(file);
  const publicKey = createPublicKey(key);
  putOnce(join(publicKeys, `${keyId(publicKey)}.pem`), pemOf(publicKey));
  return key;
}

/** Null when there is no such file. */
function readKey(file: string): KeyObject | null {
  let pem: string;
  try {
    pem = readFileSync(file, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw new Error(`The checkpoint key ${file} cannot be read (${(error as Error).message}).`, { cause: error });
  }
  try {
    const key = createPrivateKey(pem);
    if (key.asymmetricKeyType === 'ed25519') return key;
  } catch {
    // Said below with what would be right.
  }
  throw new Error(`${file} holds no Ed25519 private key in PEM; name another in CHECKPOINT_KEY_FILE, or move it away.`);
}

/** Of two processes that make the key at once, one makes it and the other takes it. */
function makeKey(file: string): KeyObject {
  const { privateKey } = generateKeyPairSync('ed25519');
  putOnce(file, privateKey.export({ type: 'pkcs8', format: 'pem' }), { file: 0o600, folder: 0o700 });
  return readKey(file) as KeyObject;
}

/** Puts a file there, whole at once, unless one is there. */
function putOnce(file: string, text: string | Buffer, mode = { file: 0o644, folder: 0o755 }): void {
  if (existsSync(file)) return;
  mkdirSync(dirname(file), { recursive: true, mode: mode.folder });
  const whole = `${file}.${newId()}`;
  writeFileSync(whole, text, { mode: mode.file, flag: 'wx' });
  try {
    linkSync(whole, file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  } finally {
    rmSync(whole);
  }
}
