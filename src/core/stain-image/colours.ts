import { checkedPicture, offsets, type Colour, type Picture } from './picture.js';

/** Every colour of a picture and how many pixels have it. */
export interface CountedColours {
  /** A picture one pixel high, each pixel a colour. */
  colours: Picture;
  counts: Uint32Array;
}

/** As many as three samples of 8 bits make. */
const COLOURS = 2 ** 24;

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
  const pixels = pixelsByColour(data, channels, offsets(picture));
  let width = 0;
  for (let colour = 0; colour < COLOURS; colour++) width += (pixels[colour] as number) > 0 ? 1 : 0;
  const samples = new Uint8Array(3 * width);
  const counts = new Uint32Array(width);
  for (let colour = 0, at = 0; colour < COLOURS; colour++) {
    const count = pixels[colour] as number;
    if (count === 0) continue;
    counts[at] = count;
    samples[3 * at] = colour >> 16;
    samples[3 * at + 1] = (colour >> 8) & 255;
    samples[3 * at + 2] = colour & 255;
    at += 1;
  }
  return { colours: { width, height: 1, channels: 3, data: samples, full }, counts };
}

function pixelsByColour(data: Picture['data'], channels: number, [r, g, b]: Colour): Uint32Array {
  const pixels = new Uint32Array(COLOURS);
  for (let at = 0; at < data.length; at += channels) {
    const colour = ((data[at + r] as number) << 16) | ((data[at + g] as number) << 8) | (data[at + b] as number);
    pixels[colour] = (pixels[colour] as number) + 1;
  }
  return pixels;
}
