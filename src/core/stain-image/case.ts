import { Refusal } from '../refusal.js';
import { Fields } from '../time/fields.js';
import { countedColours } from './colours.js';
import { amountsOf, opticalDensity, RUIFROK_JOHNSTON, stainAmounts, unmixing, type Stains } from './deconvolution.js';
import { distributionOf } from './distribution.js';
import { saturatedFraction } from './fluorescence.js';
import { STAINED } from './measure.js';
import type { Colour, Picture } from './picture.js';
import { varianceOfLaplacian } from './sharpness.js';

export interface PixelResult {
  id: string;
  opticalDensity: number[];
  stains: Record<string, number>;
}

export interface StainDistribution {
  mean: number;
  sd: number;
  median: number;
  p95: number;
  fractionAbove0p15: number;
}

export interface PictureMeasures {
  width: number;
  height: number;
  stains: Record<string, StainDistribution>;
  focus: { varianceOfLaplacian: number };
  saturatedFraction: number;
}

/**
 * What a picture shows of each stain and how sharp and overexposed it is; it measures the stain, never the patient. White is the
 * value of an empty field, else the full value. Refuses what its parts refuse (see amountsOf).
 */
export function measurePicture(
  picture: Picture,
  stains: Stains = RUIFROK_JOHNSTON,
  white = fullWhite(picture),
): PictureMeasures {
  const matrix = unmixing(stains);
  const { colours, counts } = countedColours(picture);
  const measured = Object.keys(stains).map((name, index): [string, StainDistribution] => {
    const { fractionAbove, ...rest } = distributionOf(
      amountsOf(colours, index as 0 | 1 | 2, matrix, white),
      STAINED,
      counts,
    );
    return [name, { ...rest, fractionAbove0p15: fractionAbove }];
  });
  return {
    width: picture.width,
    height: picture.height,
    stains: Object.fromEntries(measured),
    focus: { varianceOfLaplacian: varianceOfLaplacian(picture) },
    saturatedFraction: saturatedFraction(picture),
  };
}

/**
 * Measures one case as given in JSON, `{id, rgb}` for a pixel of 8 bits a colour or `{id, file}` for a picture, which `read`
 * decodes; refuses one that cannot be computed. `(await computeStainimage({id: 'D04', rgb: [128, 128, 128]}, read)).opticalDensity[0]`
 * is 0.2993302107860868.
 */
export async function computeStainimage(
  input: unknown,
  read: (file: string) => Promise<Picture>,
): Promise<PixelResult | (PictureMeasures & { id: string })> {
  const fields = new Fields(input);
  const id = fields.text('id');
  if (!fields.has('rgb')) return { id, ...measurePicture(await read(fields.text('file'))) };
  const sample = fields.numbers('rgb');
  if (sample.length !== 3 || sample.some((value) => value > 255)) {
    throw new Refusal(
      'invalid',
      'malformed-case',
      `rgb is ${sample.join(', ')}; give red, green and blue from 0 to 255`,
    );
  }
  const amounts = stainAmounts(sample as Colour, unmixing(RUIFROK_JOHNSTON), [255, 255, 255]);
  return {
    id,
    opticalDensity: sample.map((value) => opticalDensity(value, 255)),
    stains: Object.fromEntries(Object.keys(RUIFROK_JOHNSTON).map((name, index) => [name, amounts[index] ?? 0])),
  };
}

function fullWhite({ full }: Picture): Colour {
  return [full, full, full];
}
