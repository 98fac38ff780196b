import { createPublicKey, type KeyObject, sign } from 'node:crypto';
import type { Instant } from '../time/instant.js';
import { keyId } from './checkpoint.js';
import { canonicalText } from './record.js';

export const MANIFEST_SEAL_FORMAT = 'stainwright-pack-manifest/1';

/**
 * The line of `manifest.seal.json`: an Ed25519 signature (RFC 8032) by the key of the checkpoints over the RFC 8785 bytes
 * of a statement that names the manifest's hash. Whoever changes a file must change the manifest, and then this shows it.
 */
export function manifestSeal(
  sealed: { laboratory: string; pack: string; at: Instant; manifest: string },
  privateKey: KeyObject,
): string {
  const key = keyId(createPublicKey(privateKey));
  const statement = canonicalText({ format: MANIFEST_SEAL_FORMAT, ...sealed, key });
  const signature = sign(null, Buffer.from(statement), privateKey).toString('base64');
  return `${canonicalText({ signature, statement })}\n`;
}
