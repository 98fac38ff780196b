import type { Instant } from '../time/instant.js';
import { canonicalText, sha256 } from './record.js';
import type { Signature, SignatureMeaning } from './signed.js';

export { SIGNATURE_MEANINGS, type Signature, type SignatureMeaning } from './signed.js';

/** The signature of a person whose password was just confirmed, bound to the record that is signed. */
export function signatureOf(
  signer: { personId: string; name: string },
  meaning: SignatureMeaning,
  record: unknown,
  at: Instant,
): Signature {
  return { personId: signer.personId, name: signer.name, at, meaning, recordHash: sha256(canonicalText(record)) };
}
