import sharp from 'sharp';
import type { ReadPicture } from './read-picture.js';
import { broken, checkSize, MOST_PIXELS, refused } from './refused.js';

// A picture is decoded once; what the library would keep of it is only in the way.
sharp.cache(false);

const LOSSY = 'JPEG loses detail: compare only with pictures that were saved the same way.';

export async function readJpeg(bytes: Buffer): Promise<ReadPicture> {
  const { width, height, components, precision } = frameOf(bytes);
  checkSize(width, height);
  if (precision !== 8) throw refused(`The JPEG picture has ${precision} bits a colour; save it with 8.`);
  if (components !== 1 && components !== 3) {
    throw refused(`The JPEG picture has ${components} inks, as for printing (CMYK); save it in red, green and blue.`);
  }
  if (!bytes.subarray(-4096).includes(END_OF_PICTURE)) {
    throw refused('The JPEG picture is cut off before its end; save it anew.');
  }
  try {
    // A profile is left out: its conversion would change what the camera saw.
    const options = {
      failOn: 'warning',
      ignoreIcc: true,
      limitInputPixels: MOST_PIXELS,
      sequentialRead: true,
    } as const;
    const data = await sharp(bytes, options).toColourspace('srgb').raw().toBuffer();
    return { picture: { width, height, channels: 3, data, full: 255 }, remarks: [LOSSY] };
  } catch (error) {
    throw broken('JPEG', error);
  }
}

const END_OF_PICTURE = Buffer.from('ffd9', 'hex');

/** Markers that begin a frame: baseline, extended and progressive Huffman coding (ITU-T T.81, table B.1). */
const FRAMES = [0xc0, 0xc1, 0xc2];
/** The other frame markers: lossless, hierarchical and arithmetic coding. */
const OTHER_FRAMES = [0xc3, 0xc5, 0xc6, 0xc7, 0xc9, 0xca, 0xcb, 0xcd, 0xce, 0xcf];
const START_OF_SCAN = 0xda;

/** Size, bits and components as the frame header says (ITU-T T.81, B.2.2). */
function frameOf(bytes: Buffer): { width: number; height: number; components: number; precision: number } {
  for (let at = 2; at + 9 < bytes.length;) {
    if (bytes[at] !== 0xff) break;
    const marker = bytes[at + 1] ?? 0;
    // Any number of fill bytes may stand before a marker.
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (OTHER_FRAMES.includes(marker)) {
      throw refused(
        'The JPEG picture is coded in a way that hardly any camera uses; save it as a usual JPEG, PNG or TIFF.',
      );
    }
    if (FRAMES.includes(marker)) {
      return {
        precision: bytes.readUInt8(at + 4),
        height: bytes.readUInt16BE(at + 5),
        width: bytes.readUInt16BE(at + 7),
        components: bytes.readUInt8(at + 9),
      };
    }
    if (marker === START_OF_SCAN) break;
    at += 2 + bytes.readUInt16BE(at + 2);
  }
  throw refused('The JPEG picture is broken or cut off before its size is told; save it anew.');
}
