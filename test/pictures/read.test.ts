import { readFileSync } from 'node:fs';
import { deflateSync } from 'node:zlib';
import { describe, expect, it } from '@jest/globals';
import { encode } from 'fast-png';
import { readPicture } from '../../src/pictures/read.js';
import { unpackLzw } from '../../src/pictures/lzw.js';
import { decodePng } from '../support/png.js';

const file = (name: string) => readFileSync(new URL(`../vectors/images/formats/${name}`, import.meta.url));
// A crop of the micrograph, written by libtiff and Pillow: see README.md beside the files.
const crop = decodePng(file('crop.png'));
const whyNot = async (bytes: Buffer): Promise<string> => {
  try {
    await readPicture(bytes);
  } catch (error) {
    return (error as Error).message;
  }
  return 'was read';
};

describe('A picture is read', () => {
  it.each([
    'crop.png',
    'plain.tiff',
    'lzw-strips.tiff',
    'deflate-tiles.tiff',
    'big-endian-tiles.tiff',
    'planar-tiles.tiff',
    'packbits-planar.tiff',
  ])('from %s to the last sample', async (name) => {
    const { picture, remarks } = await readPicture(file(name));
    expect({ ...picture, data: Buffer.from(picture.data).equals(Buffer.from(crop.data)) }).toEqual({
      ...crop,
      data: true,
    });
    expect(remarks).toEqual([]);
  });

  it.each(['sixteen-bits.png', 'sixteen-bits.tiff', 'sixteen-bits-little.tiff'])(
    'with 16 bits from %s',
    async (name) => {
      const { picture } = await readPicture(file(name));
      expect(picture).toMatchObject({ width: 45, height: 37, channels: 1, full: 65_535 });
      // 257 times the grey that ITU-R 601 gives, by Pillow's whole-number weights.
      const grey = Array.from({ length: 45 * 37 }, (_, i) => {
        const [r = 0, g = 0, b = 0] = crop.data.subarray(3 * i, 3 * i + 3);
        return 257 * ((r * 19_595 + g * 38_470 + b * 7_471 + 32_768) >> 16);
      });
      expect([...picture.data]).toEqual(grey);
    },
  );

  it.each(['baseline.jpg', 'progressive.jpg'])('from %s, nearly, and says that JPEG loses detail', async (name) => {
    const { picture, remarks } = await readPicture(file(name));
    expect(picture).toMatchObject({ width: 45, height: 37, channels: 3, full: 255 });
    const off = Uint8Array.from(picture.data).reduce((sum, value, i) => sum + Math.abs(value - (crop.data[i] ?? 0)), 0);
    expect(off / crop.data.length).toBeLessThan(name === 'baseline.jpg' ? 3 : 8);
    expect(remarks).toEqual([expect.stringContaining('JPEG loses detail')]);
  });

  it('from the first of several pages, and says so', async () => {
    const { picture, remarks } = await readPicture(file('two-pages.tiff'));
    expect(Buffer.from(picture.data).equals(Buffer.from(crop.data))).toBe(true);
    expect(remarks).toEqual([expect.stringContaining('the first is measured')]);
  });
});

describe('A picture is refused', () => {
  it.each([
    ['a text', Buffer.from('surely no picture'), 'PNG, JPEG or TIFF'],
    ['a PDF', Buffer.from('%PDF-1.7\n'), 'PNG, JPEG or TIFF'],
    ['nothing', Buffer.alloc(0), 'PNG, JPEG or TIFF'],
    ['inks for printing', file('cmyk.jpg'), 'save it in red, green and blue'],
    ['JPEG in TIFF', file('jpeg-inside.tiff'), 'save it'],
    ['a palette in TIFF', file('palette.tiff'), 'save it'],
    ['a JPEG with only a beginning', file('baseline.jpg').subarray(0, 20), 'cut off'],
  ])('that is %s', async (_what, bytes, message) => {
    expect(await whyNot(bytes)).toContain(message);
  });

  it.each([
    'crop.png',
    'baseline.jpg',
    'progressive.jpg',
    'plain.tiff',
    'lzw-strips.tiff',
    'deflate-tiles.tiff',
    'packbits-planar.tiff',
  ])('that is %s cut off anywhere, in a clear sentence and in no time', async (name) => {
    const whole = file(name);
    for (let length = 8; length < whole.length - 2; length += Math.max(1, Math.floor(whole.length / 40))) {
      const why = await whyNot(whole.subarray(0, length));
      // A TIFF may keep its directory anywhere; cut after all that it names, it is whole.
      if (name.endsWith('.tiff') && why === 'was read') continue;
      expect(why).toMatch(/save it anew|has 0|where all of its parts are|Save it/);
    }
  });

  it('whose bytes were spoiled, or it is read as it came: never anything else', async () => {
    for (const name of ['crop.png', 'baseline.jpg', 'lzw-strips.tiff', 'deflate-tiles.tiff', 'planar-tiles.tiff']) {
      const whole = file(name);
      for (let at = 0; at < whole.length; at += 41) {
        const spoiled = Buffer.from(whole);
        spoiled[at] = (spoiled[at] ?? 0) ^ 0x5a;
        try {
          expect((await readPicture(spoiled)).picture.data.length).toBeGreaterThan(0);
        } catch (error) {
          expect([name, at, (error as { code?: string }).code]).toEqual([name, at, 'bad-picture']);
        }
      }
    }
  });

  it('that says it is larger than 64 megapixels, before anything is unpacked', async () => {
    const png = Buffer.from(file('crop.png'));
    png.writeUInt32BE(2_000_000_000, 16);
    const jpeg = Buffer.from(file('baseline.jpg'));
    const frame = jpeg.indexOf(Buffer.from('ffc0', 'hex'));
    jpeg.writeUInt16BE(65_000, frame + 5);
    jpeg.writeUInt16BE(65_000, frame + 7);
    const tiff = Buffer.from(file('plain.tiff'));
    const directory = tiff.readUInt32LE(4);
    for (let n = 0; n < tiff.readUInt16LE(directory); n++) {
      const entry = directory + 2 + 12 * n;
      if ([256, 257].includes(tiff.readUInt16LE(entry))) tiff.writeUInt16LE(60_000, entry + 8);
    }
    for (const bytes of [png, jpeg, tiff]) expect(await whyNot(bytes)).toContain('at most 64 megapixels');
  });

  it('that unpacks to more than it says', async () => {
    const small = Buffer.from(encode({ width: 4, height: 4, channels: 3, data: new Uint8Array(48) }));
    const bomb = deflateSync(Buffer.alloc(200_000_000), { level: 9 });
    const head = small.subarray(0, 33);
    const chunk = Buffer.alloc(8);
    chunk.writeUInt32BE(bomb.length, 0);
    chunk.write('IDAT', 4);
    const end = Buffer.from('0000000049454e44ae426082', 'hex');
    const before = process.memoryUsage().arrayBuffers;
    expect(await whyNot(Buffer.concat([head, chunk, bomb, Buffer.alloc(4), end]))).toContain('unpacks to more');
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(50_000_000);
  });

  it('with 4 bits a colour', async () => {
    const grey = Buffer.from(
      encode({ width: 2, height: 2, channels: 1, depth: 4 as 8, data: new Uint8Array([0x10, 0x20]) }),
    );
    expect(await whyNot(grey)).toMatch(/bits|broken/);
  });
});

describe('LZW', () => {
  // TIFF 6.0, section 13, "A Detailed Example": the bytes 7 7 7 8 8 7 7 6 6 are the codes 256 7 258 8 8 258 6 6 257.
  it('unpacks the example of the specification', () => {
    expect([...unpackLzw(codes(256, 7, 258, 8, 8, 258, 6, 6, 257), 9)]).toEqual([7, 7, 7, 8, 8, 7, 7, 6, 6]);
  });

  it('refuses data that end early or name what was not made', () => {
    expect(() => unpackLzw(codes(256, 7, 257), 9)).toThrow('after 1 of 9');
    expect(() => unpackLzw(codes(256, 7), 9)).toThrow('after 1 of 9');
    expect(() => unpackLzw(codes(256, 7, 300), 9)).toThrow('code 300 was not made');
  });
});

/** Codes of 9 bits, the highest bit first. */
function codes(...list: number[]): Uint8Array {
  const bits = list.map((code) => code.toString(2).padStart(9, '0')).join('');
  return Uint8Array.from((bits.match(/.{1,8}/g) ?? []).map((byte) => parseInt(byte.padEnd(8, '0'), 2)));
}
