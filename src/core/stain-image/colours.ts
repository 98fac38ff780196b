import { checkedPicture, offsets, type Colour, type Picture } from './picture.js';

/** Every colour of a picture and how many pixels have it. */
export interface CountedColours {
  /** A picture one pixel high, each pixel a colour. */
  colours: Picture;
  counts: Uint32Array;
}

/** As many as three samples of 8 bits make. */
const COLOURS = 2 ** 24;
/** Colours alike in red and green; most pictures have few of them, and the others need no look. */
const BLOCK = 2 ** 8;

/**
 * The colours of a picture of 8 bits a sample, each once, red first, with the number of its pixels: what depends on the colour
 * alone is worked out for thousands instead of millions. A grey picture, and one of more bits, whose colours hardly come twice,
 * stays as it is. Two pixels of one colour are one colour that counts 2.
 */
export function countedColours(picture: Picture): CountedColours {
  const { channels, data, full } = checkedPicture(picture);
  if (channels < 3 || full > 255) {
    return { colours: picture, counts: new Uint32Array(data.length / channels).fill(1) };
  }
  const { pixels, blocks, width } = pixelsByColour(data, channels, offsets(picture));
  const samples = new Uint8Array(3 * width);
  const counts = new Uint32Array(width);
  let at = 0;
  for (let block = 0; block < blocks.length; block++) {
    if (blocks[block] === 0) continue;
    for (let colour = block * BLOCK; colour < (block + 1) * BLOCK; colour++) {
      const count = pixels[colour] as number;
      if (count === 0) continue;
      counts[at] = count;
      samples[3 * at] = colour >> 16;
      samples[3 * at + 1] = (colour >> 8) & 255;
      samples[3 * at + 2] = colour & 255;
      at += 1;
    }
  }
  return { colours: { width, height: 1, channels: 3, data: samples, full }, counts };
}

/** Pixels of each colour, which blocks of colours have any, and how many colours there are. */
function pixelsByColour(
  data: Picture['data'],
  channels: number,
  [r, g, b]: Colour,
): { pixels: Uint32Array; blocks: Uint8Array; width: number } {
  const pixels = new Uint32Array(COLOURS);
  const blocks = new Uint8Array(COLOURS / BLOCK);
  let width = 0;
  for (let at = 0; at < data.length; at += channels) {
    const colour = ((data[at + r] as number) << 16) | ((data[at + g] as number) << 8) | (data[at + b] as number);
    const count = pixels[colour] as number;
    if (count === 0) {
      blocks[colour >> 8] = 1;
      width += 1;
    }
    pixels[colour] = count + 1;
  }
  return { pixels, blocks, width };
}
