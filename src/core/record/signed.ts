import type { Instant } from '../time/instant.js';

/** What a signature means (21 CFR 11.50(a)(3)). */
export const SIGNATURE_MEANINGS = ['review', 'approval', 'responsibility', 'authorship', 'release'] as const;
export type SignatureMeaning = (typeof SIGNATURE_MEANINGS)[number];

/** A signature as it stands with its record (21 CFR 11.50, 11.70): who, when, meaning, and the hash of what was signed. */
export interface Signature {
  personId: string;
  /** The signer's name as printed on every readable form. */
  name: string;
  at: Instant;
  meaning: SignatureMeaning;
  /** SHA-256 over the RFC 8785 bytes of the signed record, so that the signature cannot be moved to another. */
  recordHash: string;
}
