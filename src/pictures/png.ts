import { inflateSync } from 'node:zlib';
import { convertIndexedToRgb, type DecodedPng, decode } from 'fast-png';
import type { ReadPicture } from './read-picture.js';
import { broken, checkSize, refused } from './refused.js';

const SIGNATURE_BYTES = 8;
/** Length, type and check sum around the data of a chunk (W3C PNG, section 5.3). */
const CHUNK_FRAME = 12;

/** What makes the picture; texts and colour profiles beside it are not even unpacked. */
const NEEDED = ['IHDR', 'PLTE', 'tRNS', 'IDAT', 'IEND'];

/** Samples of a pixel by colour type (W3C PNG, section 11.2.1). */
const CHANNELS: Record<number, number> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };

interface Chunk {
  type: string;
  whole: Buffer;
  data: Buffer;
}

export function readPng(bytes: Buffer): ReadPicture {
  const chunks = [...chunksOf(bytes)].filter(({ type }) => NEEDED.includes(type));
  const header = chunks[0];
  if (header?.type !== 'IHDR' || header.data.length !== 13)
    throw refused('The PNG picture has no header; save it anew.');
  const [width, height] = [header.data.readUInt32BE(0), header.data.readUInt32BE(4)];
  const [depth, colour, interlaced] = [header.data.readUInt8(8), header.data.readUInt8(9), header.data.readUInt8(12)];
  checkSize(width, height);
  const rowBytes = Math.ceil((width * (CHANNELS[colour] ?? 4) * depth) / 8);
  // An interlaced picture has up to twice as many rows, with one more byte each.
  const most = (rowBytes + 1) * height + (interlaced === 0 ? 0 : 2 * height * 8);
  checkContent(chunks, most);
  try {
    const kept = chunks.map(({ whole }) => whole);
    return asPicture(decode(Buffer.concat([bytes.subarray(0, SIGNATURE_BYTES), ...kept]), { checkCrc: true }));
  } catch (error) {
    throw broken('PNG', error);
  }
}

function* chunksOf(bytes: Buffer): Generator<Chunk> {
  for (let at = SIGNATURE_BYTES; ;) {
    if (at + CHUNK_FRAME > bytes.length) throw refused('The PNG picture is cut off before its end; save it anew.');
    const end = at + CHUNK_FRAME + bytes.readUInt32BE(at);
    if (end > bytes.length) throw refused('The PNG picture is cut off before its end; save it anew.');
    const type = bytes.toString('latin1', at + 4, at + 8);
    yield { type, whole: bytes.subarray(at, end), data: bytes.subarray(at + 8, end - 4) };
    if (type === 'IEND') return;
    at = end;
  }
}

/** The decoder unpacks whatever there is, so that no more than the header promises is looked for first. */
function checkContent(chunks: readonly Chunk[], most: number): void {
  const packed = chunks.filter(({ type }) => type === 'IDAT').map(({ data }) => data);
  try {
    inflateSync(Buffer.concat(packed), { maxOutputLength: most });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ERR_BUFFER_TOO_LARGE') throw broken('PNG', error);
    throw refused('The PNG picture unpacks to more than its header says; it is no picture of a camera. Save it anew.');
  }
}

function asPicture(png: DecodedPng): ReadPicture {
  const { width, height, depth, channels, data, palette } = png;
  if (palette) {
    const colours = palette[0]?.length === 4 ? 4 : 3;
    return {
      picture: { width, height, channels: colours, data: convertIndexedToRgb(png), full: 255 },
      remarks: ['The picture has a palette of few colours; a picture for measuring has all of them.'],
    };
  }
  if (depth !== 8 && depth !== 16) throw refused(`The picture has ${depth} bits a colour; save it with 8 or 16.`);
  return { picture: { width, height, channels: channels as 1 | 2 | 3 | 4, data, full: 2 ** depth - 1 }, remarks: [] };
}
