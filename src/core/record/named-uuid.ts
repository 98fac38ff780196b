import { createHash } from 'node:crypto';

/**
 * The UUID that a name has within a namespace, always the same: version 8, the first 128 bits of SHA-256 over the
 * namespace's 16 bytes and the name in UTF-8 (RFC 9562 section 5.8, appendix B.2). Within the namespace of domain names,
 * `namedUuid('6ba7b810-9dad-11d1-80b4-00c04fd430c8', 'www.example.com')` is '5c146b14-3c52-8afd-938a-375d0df1fbf6'.
 */
export function namedUuid(namespace: string, name: string): string {
  const space = Buffer.from(namespace.replaceAll('-', ''), 'hex');
  const bytes = createHash('sha256').update(space).update(name, 'utf8').digest().subarray(0, 16);
  bytes.writeUInt8((bytes.readUInt8(6) & 0x0f) | 0x80, 6);
  bytes.writeUInt8((bytes.readUInt8(8) & 0x3f) | 0x80, 8);
  const hex = bytes.toString('hex');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}
