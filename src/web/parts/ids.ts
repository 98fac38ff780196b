/** A random UUID (RFC 9562 version 4); made by hand because randomUUID is missing where a page comes without HTTPS. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const hex = [...bytes].map((byte, n) => {
    if (n === 6) return (byte & 0x0f) | 0x40;
    return n === 8 ? (byte & 0x3f) | 0x80 : byte;
  });
  const text = hex.map((byte) => byte.toString(16).padStart(2, '0')).join('');
  return [text.slice(0, 8), text.slice(8, 12), text.slice(12, 16), text.slice(16, 20), text.slice(20)].join('-');
}
