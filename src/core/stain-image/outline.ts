import type { Picture } from './picture.js';

/** What of a picture a figure counts, on a grid of its pixels or of every n-th one. */
export interface Counted {
  /** The metric that tells the share of what is counted. */
  metric: string;
  width: number;
  height: number;
  /** 1 where the pixel counts. */
  mask: Uint8Array;
}

/** A grid for looking at has no more points along its longer side. */
export const LONGEST_SIDE = 1600;

/**
 * The picture with every n-th pixel of every n-th row, so that its longer side has at most 1600; itself when it has. Of 3200
 * by 2400 pixels every second one is left, 1600 by 1200.
 */
export function sampled(picture: Picture): Picture {
  const { width, height, channels, data, full } = picture;
  const step = Math.ceil(Math.max(width, height) / LONGEST_SIDE);
  if (step === 1) return picture;
  const [wide, high] = [Math.ceil(width / step), Math.ceil(height / step)];
  const samples = full > 255 ? new Uint16Array(wide * high * channels) : new Uint8Array(wide * high * channels);
  for (let y = 0, at = 0; y < high; y++) {
    for (let x = 0; x < wide; x++) {
      const from = (y * step * width + x * step) * channels;
      for (let channel = 0; channel < channels; channel++) samples[at++] = data[from + channel] as number;
    }
  }
  return { width: wide, height: high, channels, data: samples, full };
}

/**
 * The outline of what is counted, clear but for a white line on its outermost pixels and a black one around them, so that it
 * is seen on any picture. The edge of the picture is no outline. One counted pixel is white with four black neighbours.
 */
export function outlineOf({ width, height, mask }: Pick<Counted, 'width' | 'height' | 'mask'>): Picture {
  const data = new Uint8Array(2 * width * height);
  for (let y = 0, at = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at++) {
      const own = mask[at] as number;
      const edge =
        (x > 0 && mask[at - 1] !== own) ||
        (x < width - 1 && mask[at + 1] !== own) ||
        (y > 0 && mask[at - width] !== own) ||
        (y < height - 1 && mask[at + width] !== own);
      if (!edge) continue;
      data[2 * at] = own === 1 ? 255 : 0;
      data[2 * at + 1] = 255;
    }
  }
  return { width, height, channels: 2, data, full: 255 };
}
