import { randomBytes } from 'node:crypto';

/** A secret of 256 random bits, for cookies, tokens and links. */
export function newSecret(): string {
  return randomBytes(32).toString('base64url');
}
