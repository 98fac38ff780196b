import { createHash } from 'node:crypto';
import canonicalize from 'canonicalize';
import type { Protocol } from './protocol.js';

/**
 * SHA-256 over the RFC 8785 canonical bytes of a protocol, as 64 lower-case hexadecimal digits: equal for equal
 * content whatever the order of its keys or the layout of its file.
 */
export function contentHash(protocol: Protocol): string {
  const canonical = canonicalize(protocol);
  if (canonical === undefined) {
    throw new TypeError('a protocol must be an object to have a content hash');
  }
  return createHash('sha256').update(canonical, 'utf8').digest('hex');
}
