import { readFileSync } from 'node:fs';
import { convertIndexedToRgb, type DecodedPng, decode } from 'fast-png';
import type { Picture } from '../core/stain-image/picture.js';
import { Refusal } from '../core/refusal.js';

/** More than any microscope camera takes at once; a picture that says it is larger is not decoded. */
const MAX_PIXELS = 100_000_000;

/** What stands at the start of every PNG, then its header with width and height (W3C PNG, sections 5.2 and 11.2.1). */
const SIGNATURE = Buffer.from('89504e470d0a1a0a', 'hex');
const HEADER_BYTES = 24;

/** A PNG file as a picture; refuses what is none, is broken, or says that it is larger than 100 million pixels. */
export function readPng(file: string): Picture {
  const bytes = bytesOf(file);
  if (bytes.length < HEADER_BYTES || !bytes.subarray(0, SIGNATURE.length).equals(SIGNATURE)) {
    throw refused(`${file} is not a PNG picture; save it as one`);
  }
  const [width, height] = [bytes.readUInt32BE(16), bytes.readUInt32BE(20)];
  if (width * height > MAX_PIXELS) {
    throw refused(`${file} says that it has ${width} by ${height} pixels; at most ${MAX_PIXELS} pixels are measured`);
  }
  return asPicture(file, decoded(file, bytes));
}

function bytesOf(file: string): Buffer {
  try {
    return readFileSync(file);
  } catch (error) {
    throw refused(
      `${file} cannot be read (${(error as NodeJS.ErrnoException).code ?? 'unknown'}); give the path of a PNG file`,
    );
  }
}

function decoded(file: string, bytes: Buffer): DecodedPng {
  try {
    return decode(bytes, { checkCrc: true });
  } catch (error) {
    throw refused(`${file} is a broken PNG picture (${(error as Error).message}); save it anew`);
  }
}

function asPicture(file: string, png: DecodedPng): Picture {
  const { width, height, depth, channels, data, palette } = png;
  if (palette)
    return { width, height, channels: palette[0]?.length === 4 ? 4 : 3, data: convertIndexedToRgb(png), full: 255 };
  if (depth !== 8 && depth !== 16) throw refused(`${file} has ${depth} bits a colour; save it with 8 or 16`);
  return { width, height, channels: channels as Picture['channels'], data, full: 2 ** depth - 1 };
}

function refused(message: string): Refusal {
  return new Refusal('invalid', 'bad-picture', message);
}
