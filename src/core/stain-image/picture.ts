import { Refusal } from '../refusal.js';

/** A decoded picture: rows from the top, pixels from the left, the channels of a pixel together; alpha, if any, last. */
export interface Picture {
  width: number;
  height: number;
  /** 1 grey, 2 grey and alpha, 3 red, green and blue, 4 with alpha. */
  channels: 1 | 2 | 3 | 4;
  data: Uint8Array | Uint8ClampedArray | Uint16Array;
  /** The value of a saturated sample: 255, 65535, or less where a camera fills fewer bits. */
  full: number;
}

/** Brightness of each channel that the eye sees; one for grey. */
export type Colour = [red: number, green: number, blue: number];

/**
 * Refuses a picture that holds no pixel or whose samples are not as many as its size says.
 * `checkedPicture({width: 1, height: 1, channels: 1, data: new Uint8Array(1), full: 255})` is that picture.
 */
export function checkedPicture(picture: Picture): Picture {
  const { width, height, channels, data, full } = picture;
  const samples = width * height * channels;
  if (!(Number.isInteger(width) && Number.isInteger(height) && width > 0 && height > 0) || data.length !== samples) {
    throw new Refusal(
      'invalid',
      'bad-picture',
      `a picture of ${width} by ${height} pixels and ${channels} channels has ${data.length} samples; it must have a pixel and ${samples} samples`,
    );
  }
  if (!(full > 0)) throw new Refusal('invalid', 'bad-picture', `the full value is ${full}; give 255 or 65535`);
  return picture;
}

/** Where the red, green and blue of a pixel stand from its first sample on; a grey picture has all at one place. */
export function offsets({ channels }: Picture): Colour {
  return channels < 3 ? [0, 0, 0] : [0, 1, 2];
}
