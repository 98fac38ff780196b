import { encode } from 'fast-png';
import type { Picture } from '../core/stain-image/picture.js';

/** A picture of 8 bits a sample as a PNG file. */
export function writePng({ width, height, channels, data }: Picture): Uint8Array {
  return encode({ width, height, channels, data: Uint8Array.from(data) });
}
