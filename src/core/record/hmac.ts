import { createHmac } from 'node:crypto';

/** HMAC-SHA256 (RFC 2104, FIPS 180-4) of UTF-8 text, as 64 hex digits. `hmacSha256('Jefe', 'what do ya want for nothing?')` begins with '5bdcc146' (RFC 4231, case 2). */
export function hmacSha256(key: string | Uint8Array, text: string | Uint8Array): string {
  return createHmac('sha256', key).update(text).digest('hex');
}
