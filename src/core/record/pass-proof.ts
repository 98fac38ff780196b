import { createPublicKey, verify } from 'node:crypto';

/** The one curve that every browser signs with (FIPS 186-5, P-256). */
const CURVE = 'prime256v1';

/**
 * Whether a text is a P-256 public key, as its DER form (SubjectPublicKeyInfo, RFC 5480) in Base64url; never throws.
 * `isPassKey('AAAA')` is false.
 */
export function isPassKey(publicKey: string): boolean {
  try {
    return keyOf(publicKey).asymmetricKeyDetails?.namedCurve === CURVE;
  } catch {
    return false;
  }
}

/**
 * Whether a proof was made over a text with the private key of a day pass: ECDSA with SHA-256 (FIPS 186-5), r and s joined
 * as IEEE P1363 has it, in Base64url. The key must be one that `isPassKey` takes.
 */
export function proves(publicKey: string, text: string, proof: string): boolean {
  const key = { key: keyOf(publicKey), dsaEncoding: 'ieee-p1363' } as const;
  return verify('sha256', Buffer.from(text), key, Buffer.from(proof, 'base64url'));
}

function keyOf(publicKey: string) {
  return createPublicKey({ key: Buffer.from(publicKey, 'base64url'), type: 'spki', format: 'der' });
}
