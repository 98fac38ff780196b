import { inflateSync } from 'node:zlib';
import { decode } from 'tiff';
import type { Picture } from '../core/stain-image/picture.js';
import { unpackLzw } from './lzw.js';
import type { ReadPicture } from './read-picture.js';
import { broken, checkSize, MOST_PIXELS, refused } from './refused.js';

/** What a page's tags say of how it is stored (TIFF 6.0). */
interface Layout {
  width: number;
  height: number;
  depth: 8 | 16;
  channels: 1 | 2 | 3 | 4;
  compression: number;
  differences: boolean;
  /** Each colour in pieces of its own. */
  planar: boolean;
  inverted: boolean;
  littleEndian: boolean;
  /** Strips are pieces as wide as the picture. */
  piece: { width: number; height: number };
  offsets: number[];
  sizes: number[];
}

/** The first page of a TIFF file: grey or colour, 8 or 16 bits, in strips or tiles, plain or packed without loss. */
export function readTiff(bytes: Buffer): ReadPicture {
  const { layout, more } = layoutOf(bytes);
  try {
    const data = samplesOf(bytes, layout);
    const { width, height, channels, depth } = layout;
    const picture: Picture = { width, height, channels, data, full: 2 ** depth - 1 };
    return { picture, remarks: more ? ['The file holds several pages; the first is measured.'] : [] };
  } catch (error) {
    throw broken('TIFF', error);
  }
}

const TAG = {
  bitsPerSample: 258,
  compression: 259,
  photometric: 262,
  stripOffsets: 273,
  samplesPerPixel: 277,
  rowsPerStrip: 278,
  stripByteCounts: 279,
  planar: 284,
  predictor: 317,
  tileWidth: 322,
  tileLength: 323,
  tileOffsets: 324,
  tileByteCounts: 325,
  sampleFormat: 339,
} as const;

/** Pixels of all parts together, those of each colour counted for themselves. */
const MOST_PARTS = 6 * MOST_PIXELS;

/** None, LZW, Deflate by either number, PackBits. */
const COMPRESSIONS = [1, 5, 8, 32_946, 32_773];

function layoutOf(bytes: Buffer): { layout: Layout; more: boolean } {
  const { fields, width, height, more } = tagsOf(bytes);
  const list = (tag: number): number[] => {
    const value = fields.get(tag) as number | ArrayLike<number> | undefined;
    return value === undefined ? [] : typeof value === 'number' ? [value] : Array.from(value);
  };
  const one = (tag: number, usual: number): number => list(tag)[0] ?? usual;
  checkSize(width, height);
  const depths = list(TAG.bitsPerSample);
  const [depth = 1] = depths;
  if ((depth !== 8 && depth !== 16) || depths.some((each) => each !== depth) || one(TAG.sampleFormat, 1) !== 1) {
    throw refused(`The TIFF picture has ${depths.join(', ') || 1} bits a colour; save it with 8 or 16, whole numbers.`);
  }
  const photometric = one(TAG.photometric, -1);
  if (![0, 1, 2].includes(photometric)) {
    throw refused('The TIFF picture is neither grey nor red, green and blue; save it in one of these.');
  }
  const channels = one(TAG.samplesPerPixel, 1);
  if (channels > 4 || channels < 1 || (photometric === 2 && channels < 3)) {
    throw refused(`The TIFF picture has ${channels} channels; save it in grey or in red, green and blue.`);
  }
  const compression = one(TAG.compression, 1);
  if (!COMPRESSIONS.includes(compression)) {
    throw refused(
      `The TIFF picture is packed in a way that is not read here (${compression}); save it plain, or with LZW or Deflate.`,
    );
  }
  const tiled = list(TAG.tileOffsets).length > 0;
  const layout: Layout = {
    width,
    height,
    depth,
    channels: channels as Layout['channels'],
    compression,
    differences: one(TAG.predictor, 1) === 2,
    planar: one(TAG.planar, 1) === 2,
    inverted: photometric === 0,
    littleEndian: bytes[0] === 0x49,
    piece: tiled
      ? { width: one(TAG.tileWidth, 0), height: one(TAG.tileLength, 0) }
      : { width, height: Math.min(one(TAG.rowsPerStrip, height), height) },
    offsets: list(tiled ? TAG.tileOffsets : TAG.stripOffsets),
    sizes: list(tiled ? TAG.tileByteCounts : TAG.stripByteCounts),
  };
  const { piece, planar, offsets, sizes } = layout;
  const pieces = Math.ceil(width / piece.width) * Math.ceil(height / piece.height) * (planar ? channels : 1);
  // Parts that reach far beyond the picture would cost far more than it.
  if (pieces * piece.width * piece.height > MOST_PARTS) {
    throw refused('The TIFF picture has parts far larger than itself; save it anew.');
  }
  if (!(pieces > 0) || offsets.length !== pieces || sizes.length !== pieces) {
    throw refused('The TIFF picture does not say where all of its parts are; save it anew.');
  }
  return { layout, more };
}

interface Tags {
  fields: ReadonlyMap<number, unknown>;
  width: number;
  height: number;
  more: boolean;
}

function tagsOf(bytes: Buffer): Tags {
  try {
    const [page] = decode(bytes, { pages: [0], ignoreImageData: true });
    if (!page) throw new Error('it has no page');
    return { fields: page.fields, width: page.width, height: page.height, more: hasMore(bytes) };
  } catch (error) {
    throw broken('TIFF', error);
  }
}

/** Whether the first directory names a second one (TIFF 6.0, section 2). */
function hasMore(bytes: Buffer): boolean {
  const little = bytes[0] === 0x49;
  const u16 = (at: number) => (little ? bytes.readUInt16LE(at) : bytes.readUInt16BE(at));
  const u32 = (at: number) => (little ? bytes.readUInt32LE(at) : bytes.readUInt32BE(at));
  const directory = u32(4);
  return u32(directory + 2 + 12 * u16(directory)) !== 0;
}

function samplesOf(bytes: Buffer, layout: Layout): Uint8Array | Uint16Array {
  const { width, height, depth, channels, piece, planar, offsets, sizes, inverted } = layout;
  const data = depth === 8 ? new Uint8Array(width * height * channels) : new Uint16Array(width * height * channels);
  const across = Math.ceil(width / piece.width);
  const down = Math.ceil(height / piece.height);
  const own = planar ? 1 : channels;
  offsets.forEach((offset, n) => {
    const plane = planar ? Math.floor(n / (across * down)) : 0;
    const [x0, y0] = [(n % across) * piece.width, (Math.floor(n / across) % down) * piece.height];
    // A tile is whole even where it reaches beyond the picture; the last strip is not.
    const rows = piece.width === width && across === 1 ? Math.min(piece.height, height - y0) : piece.height;
    const size = sizes[n] ?? 0;
    if (offset + size > bytes.length) throw new Error(`part ${n + 1} lies beyond the end of the file`);
    const samples = unpack(bytes.subarray(offset, offset + size), layout, rows * piece.width * own, rows);
    for (let y = 0; y < rows && y0 + y < height; y++) {
      const columns = Math.min(piece.width, width - x0);
      const from = y * piece.width * own;
      const to = ((y0 + y) * width + x0) * channels + plane;
      if (!planar) data.set(samples.subarray(from, from + columns * own), to);
      else for (let x = 0; x < columns; x++) data[to + x * channels] = samples[from + x] ?? 0;
    }
  });
  if (inverted) for (let i = 0; i < data.length; i++) data[i] = 2 ** depth - 1 - (data[i] ?? 0);
  return data;
}

/** The samples of one strip or tile. */
function unpack(packed: Buffer, layout: Layout, count: number, rows: number): Uint8Array | Uint16Array {
  const { compression, depth, littleEndian, differences, channels, planar } = layout;
  const raw = unpacked(packed, compression, count * (depth / 8));
  const samples = depth === 8 ? raw : words(raw, littleEndian);
  if (!differences) return samples;
  const step = planar ? 1 : channels;
  const across = count / rows;
  for (let row = 0; row < count; row += across) {
    for (let i = row + step; i < row + across; i++) samples[i] = (samples[i] ?? 0) + (samples[i - step] ?? 0);
  }
  return samples;
}

/** Exactly `size` bytes; throws for fewer, and never unpacks more. */
function unpacked(packed: Buffer, compression: number, size: number): Uint8Array {
  switch (compression) {
    case 5:
      return unpackLzw(packed, size);
    case 8:
    case 32_946:
      return whole(inflateSync(packed, { maxOutputLength: size }), size);
    case 32_773:
      return whole(unpackBits(packed, size), size);
    default:
      return whole(Uint8Array.from(packed.subarray(0, size)), size);
  }
}

function whole(bytes: Uint8Array, size: number): Uint8Array {
  if (bytes.length < size) throw new Error(`the data end after ${bytes.length} of ${size} bytes`);
  return bytes;
}

/** PackBits (TIFF 6.0, section 9): a count and as many bytes, or a count and one byte to be repeated. */
function unpackBits(packed: Uint8Array, size: number): Uint8Array {
  const out = new Uint8Array(size);
  let written = 0;
  for (let at = 0; at < packed.length && written < size;) {
    const n = ((packed[at++] ?? 0) << 24) >> 24;
    if (n === -128) continue;
    const count = Math.min(Math.abs(n) + 1, size - written);
    if (n >= 0) out.set(packed.subarray(at, at + count), written);
    else out.fill(packed[at] ?? 0, written, written + count);
    at += n >= 0 ? n + 1 : 1;
    written += count;
  }
  return out.subarray(0, written);
}

function words(bytes: Uint8Array, littleEndian: boolean): Uint16Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const samples = new Uint16Array(bytes.length >> 1);
  for (let i = 0; i < samples.length; i++) samples[i] = view.getUint16(2 * i, littleEndian);
  return samples;
}
