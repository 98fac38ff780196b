import { Refusal } from '../refusal.js';
import { checkedPicture, offsets, type Picture } from './picture.js';

/**
 * The share of pixels with a colour at its full value, where the camera could not tell how bright it was (standard
 * definition). Two of four pixels at 255 give 0.5. With `counts`, each pixel stands for so many (see countedColours).
 */
export function saturatedFraction(picture: Picture, counts?: Uint32Array): number {
  const { channels, data, full } = checkedPicture(picture);
  const [r, g, b] = offsets(picture);
  let [saturated, all] = [0, 0];
  for (let i = 0, pixel = 0; i < data.length; i += channels, pixel++) {
    const count = counts ? (counts[pixel] ?? 0) : 1;
    all += count;
    if ((data[i + r] ?? 0) >= full || (data[i + g] ?? 0) >= full || (data[i + b] ?? 0) >= full) saturated += count;
  }
  return saturated / all;
}

/** Which colour of the picture the dye glows in. */
export type Band = 0 | 1 | 2;

export interface SignalToBackground {
  /** The brightest value that counts as background. */
  threshold: number;
  /** Mean brightness of nuclei and of background, less the dark offset. */
  signal: number;
  background: number;
  /** Null when the background is not above the dark offset. */
  ratio: number | null;
  nuclearFraction: number;
}

/**
 * Nuclear signal to background in one band, mean(nuclei) / mean(background) after subtraction of the camera's dark offset, the
 * pixels parted by Otsu's threshold (Otsu, IEEE Trans Syst Man Cybern 1979;9:62-66); null when all pixels are equally bright.
 * Nuclei at 1800 on a background of 300 have the ratio 6.
 */
export function signalToBackground(picture: Picture, band: Band, darkOffset = 0): SignalToBackground | null {
  const { channels, data, full } = checkedPicture(picture);
  const counts = new Float64Array(full + 1);
  for (let i = offsets(picture)[band]; i < data.length; i += channels) {
    const value = data[i] ?? 0;
    counts[value] = (counts[value] ?? 0) + 1;
  }
  const pixels = data.length / channels;
  const total = counts.reduce((sum, count, value) => sum + count * value, 0);
  let best: { threshold: number; pixels: number; sum: number; spread: number } | null = null;
  let [below, sum] = [0, 0];
  counts.forEach((count, threshold) => {
    below += count;
    sum += count * threshold;
    if (below === 0 || below === pixels) return;
    // Variance between the two classes, but for the constant factor 1 / pixels^2.
    const spread = (total * below - sum * pixels) ** 2 / (below * (pixels - below));
    if (!best || spread > best.spread) best = { threshold, pixels: below, sum, spread };
  });
  return best && describe(best, pixels, total, darkOffset);
}

function describe(
  split: { threshold: number; pixels: number; sum: number },
  pixels: number,
  total: number,
  darkOffset: number,
): SignalToBackground {
  const background = split.sum / split.pixels - darkOffset;
  const signal = (total - split.sum) / (pixels - split.pixels) - darkOffset;
  return {
    threshold: split.threshold,
    signal,
    background,
    ratio: background > 0 ? signal / background : null,
    nuclearFraction: 1 - split.pixels / pixels,
  };
}

/** The field is parted into so many tiles by as many. */
const TILES = 8;

/**
 * Evenness of the field in one band: the mean brightness of its darkest tile of 8 by 8 over that of its brightest, less the dark
 * offset, from 0 to 1, which is perfectly even (common practice, no source). Meant for an empty or evenly coloured field. Refuses a
 * picture of fewer pixels than tiles on a side, and one that is nowhere above the dark offset.
 */
export function evenness(picture: Picture, band: Band, darkOffset = 0): number {
  const { width, height, channels, data } = checkedPicture(picture);
  if (width < TILES || height < TILES) {
    throw new Refusal(
      'invalid',
      'bad-picture',
      `a field of ${width} by ${height} pixels is too small; give at least ${TILES} by ${TILES}`,
    );
  }
  const sums = new Float64Array(TILES * TILES);
  const counts = new Float64Array(TILES * TILES);
  for (let y = 0, i = offsets(picture)[band]; y < height; y++) {
    const row = Math.floor((y * TILES) / height) * TILES;
    for (let x = 0; x < width; x++, i += channels) {
      const tile = row + Math.floor((x * TILES) / width);
      sums[tile] = (sums[tile] ?? 0) + (data[i] ?? 0);
      counts[tile] = (counts[tile] ?? 0) + 1;
    }
  }
  const means = sums.map((sum, tile) => sum / (counts[tile] ?? 1) - darkOffset);
  const brightest = Math.max(...means);
  if (!(brightest > 0)) {
    throw new Refusal(
      'invalid',
      'bad-picture',
      'the field is nowhere brighter than the dark offset; take it with the light on',
    );
  }
  return Math.max(0, Math.min(...means)) / brightest;
}
