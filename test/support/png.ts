import { inflateSync } from 'node:zlib';
import type { Picture } from '../../src/core/stain-image/picture.js';

/** Decodes a PNG of 8 bits a colour, RGB, not interlaced (W3C PNG, sections 5, 9 and 10), a witness independent of the program's decoder. */
export function decodePng(file: Buffer): Picture {
  const chunks: Buffer[] = [];
  for (let at = 8; at < file.length; at += 12 + file.readUInt32BE(at)) {
    if (file.toString('latin1', at + 4, at + 8) === 'IDAT')
      chunks.push(file.subarray(at + 8, at + 8 + file.readUInt32BE(at)));
  }
  const [width, height] = [file.readUInt32BE(16), file.readUInt32BE(20)];
  if (file.toString('hex', 24, 29) !== '0802000000') throw new Error('only 8 bit RGB without interlace');
  const raw = inflateSync(Buffer.concat(chunks));
  const bytes = width * 3;
  const data = new Uint8Array(height * bytes);
  for (let y = 0; y < height; y++) {
    const filter = raw[y * (bytes + 1)]!;
    for (let x = 0; x < bytes; x++) {
      const i = y * bytes + x;
      const left = x < 3 ? 0 : data[i - 3]!;
      const up = y === 0 ? 0 : data[i - bytes]!;
      const corner = x < 3 || y === 0 ? 0 : data[i - bytes - 3]!;
      const guess = [0, left, up, Math.floor((left + up) / 2), paeth(left, up, corner)][filter]!;
      data[i] = raw[y * (bytes + 1) + 1 + x]! + guess;
    }
  }
  return { width, height, channels: 3, data, full: 255 };
}

function paeth(left: number, up: number, corner: number): number {
  const guess = left + up - corner;
  const [a, b, c] = [left, up, corner].map((value) => Math.abs(guess - value)) as [number, number, number];
  if (a <= b && a <= c) return left;
  return b <= c ? up : corner;
}
