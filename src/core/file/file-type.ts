/** What files are kept, by their media type. */
export const FILE_TYPES = ['image/png', 'image/jpeg', 'image/tiff', 'application/pdf'] as const;
export type FileType = (typeof FILE_TYPES)[number];

/** How many first bytes tell the type. */
export const TELLING_BYTES = 8;

/** The first bytes of each (W3C PNG 5.2; ITU-T T.81 B.1.1.3; TIFF 6.0 section 2; ISO 32000-1 7.5.2). */
const SIGNATURES: readonly (readonly [type: FileType, first: readonly number[]])[] = [
  ['image/png', [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]],
  ['image/jpeg', [0xff, 0xd8, 0xff]],
  ['image/tiff', [0x49, 0x49, 0x2a, 0x00]],
  ['image/tiff', [0x4d, 0x4d, 0x00, 0x2a]],
  ['application/pdf', [0x25, 0x50, 0x44, 0x46, 0x2d]],
];

/**
 * What a file is by its first bytes, whatever its name or its sender says; null when it is none of those that are kept, such as a
 * program or a web page. `fileTypeOf(Uint8Array.of(0xff, 0xd8, 0xff, 0xe0))` is 'image/jpeg'.
 */
export function fileTypeOf(first: Uint8Array): FileType | null {
  return SIGNATURES.find(([, bytes]) => bytes.every((byte, i) => first[i] === byte))?.[0] ?? null;
}
