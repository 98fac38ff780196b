import { Refusal } from '../refusal.js';
import { checkedPicture, offsets, type Colour, type Picture } from './picture.js';

/** What a stain absorbs of red, green and blue light, in optical density; only the direction counts. */
export type StainVector = Colour;

/** Three stains by name, in the order of their vectors. */
export type Stains = Record<string, StainVector>;

/** Ruifrok and Johnston, Anal Quant Cytol Histol 2001;23:291-299. */
export const RUIFROK_JOHNSTON = {
  haematoxylin: [0.65, 0.7, 0.29],
  eosin: [0.07, 0.99, 0.11],
  dab: [0.27, 0.57, 0.78],
} satisfies Stains;

/**
 * Light is never taken to be less than this share of white: a sample of 0 counts as 1 of 255, an optical density of 2.41, so
 * that a few black pixels do not pull the mean.
 */
const DARKEST = 1 / 255;

/**
 * Optical density of a sample, -log10(I/I0), I0 being white: the value of an empty field, or the full value without one; I is
 * taken to be at least I0/255 (Beer-Lambert; Ruifrok and Johnston 2001). `opticalDensity(128, 255)` is 0.2993302107860868.
 */
export function opticalDensity(sample: number, white: number): number {
  return Math.log10(white / Math.max(sample, white * DARKEST));
}

/** How much of each stain one unit of optical density in red, green and blue stands for: a row for each colour. */
export type Unmixing = [Colour, Colour, Colour];

/**
 * The inverse of the matrix whose rows are the stain vectors brought to unit length (Ruifrok and Johnston 2001). Refuses other
 * than three stains, and vectors that lie in one plane. `unmixing(RUIFROK_JOHNSTON)[0][0]` is 1.8780...
 */
export function unmixing(stains: Stains): Unmixing {
  const [a, b, c, ...more] = Object.values(stains).map(unit);
  if (!a || !b || !c || more.length > 0) {
    throw new Refusal('invalid', 'bad-stains', 'colours part into three stains; name three, or two and their residual');
  }
  const columns = [cross(b, c), cross(c, a), cross(a, b)] as const;
  const determinant = dot(a, columns[0]);
  if (Math.abs(determinant) < 1e-9) {
    throw new Refusal(
      'invalid',
      'bad-stains',
      'the stain vectors lie in one plane and cannot be told apart; take others',
    );
  }
  const row = (channel: 0 | 1 | 2): Colour => [
    columns[0][channel] / determinant,
    columns[1][channel] / determinant,
    columns[2][channel] / determinant,
  ];
  return [row(0), row(1), row(2)];
}

/**
 * The third vector for a slide with two stains, at right angles to both, which takes what neither explains: with haematoxylin
 * and DAB alone, eosin's vector would be wrong (common practice, no source). `residual([1, 0, 0], [0, 1, 0])` is [0, 0, 1].
 */
export function residual(first: StainVector, second: StainVector): StainVector {
  return unit(cross(unit(first), unit(second)));
}

/**
 * Three stains by name from three, or from two with what they leave as `rest` (see residual). Refuses other numbers and a name
 * that stands twice. `Object.keys(threeStains([{name: 'a', vector: [1, 0, 0]}, {name: 'b', vector: [0, 1, 0]}]))` is a, b, rest.
 */
export function threeStains(given: readonly { name: string; vector: StainVector }[]): Stains {
  const [first, second] = given;
  const left =
    given.length === 2 && first && second ? [{ name: 'rest', vector: residual(first.vector, second.vector) }] : [];
  const all = [...given, ...left];
  const stains = Object.fromEntries(all.map(({ name, vector }) => [name, vector]));
  if (Object.keys(stains).length !== all.length) {
    throw new Refusal('invalid', 'bad-stains', 'two stains have one name; name each for itself');
  }
  unmixing(stains);
  return stains;
}

/**
 * The amount of each stain in one pixel, in units of optical density along its vector, not cut off at 0, in the order of the
 * stains. `stainAmounts([57, 51, 131], unmixing(RUIFROK_JOHNSTON), [255, 255, 255])[0]` is 1.0000529794557242.
 */
export function stainAmounts(sample: Colour, matrix: Unmixing, white: Colour): Colour {
  const density = sample.map((value, i) => opticalDensity(value, white[i] ?? 0));
  return [0, 1, 2].map((stain) =>
    matrix.reduce((sum, row, channel) => sum + (density[channel] ?? 0) * (row[stain] ?? 0), 0),
  ) as Colour;
}

/**
 * The amount of one stain, 0 to 2 in the order of the stains, in every pixel of a colour picture, without cutting off at 0.
 * It measures the stain, not the patient: brown is not proportional to antigen, and pictures compare only with pictures of the
 * same control by the same camera and lamp. Written into `amounts` where one is given, to be used
 * again for the next stain. Refuses a grey picture and a white that is not above 0.
 */
export function amountsOf(
  picture: Picture,
  stain: 0 | 1 | 2,
  matrix: Unmixing,
  white: Colour,
  amounts = new Float64Array(picture.width * picture.height),
): Float64Array {
  const { channels, data, full } = checkedPicture(picture);
  if (channels < 3)
    throw new Refusal('invalid', 'bad-picture', 'a grey picture has no stain colours; take one in colour');
  if (!white.every((value) => value > 0)) {
    throw new Refusal('invalid', 'bad-setting', `white is ${white.join(', ')}; give the values of an empty field`);
  }
  const [red, green, blue] = white.map((value, channel) =>
    new Float64Array(full + 1).map((_, sample) => opticalDensity(sample, value) * (matrix[channel]?.[stain] ?? 0)),
  ) as [Float64Array, Float64Array, Float64Array];
  const [r, g, b] = offsets(picture);
  for (let pixel = 0, at = 0; pixel < amounts.length; pixel++, at += channels) {
    amounts[pixel] =
      lookup(red, data[at + r] as number) +
      lookup(green, data[at + g] as number) +
      lookup(blue, data[at + b] as number);
  }
  return amounts;
}

/** Of a sample within bounds; asking for undefined would slow the loop. */
function lookup(table: Float64Array, sample: number): number {
  return table[sample] as number;
}

function unit(vector: StainVector): StainVector {
  const length = Math.hypot(...vector);
  if (!(length > 0))
    throw new Refusal('invalid', 'bad-stains', 'a stain vector is all 0 or no number; give what it absorbs');
  return vector.map((part) => part / length) as StainVector;
}

function cross([a1, a2, a3]: Colour, [b1, b2, b3]: Colour): Colour {
  return [a2 * b3 - a3 * b2, a3 * b1 - a1 * b3, a1 * b2 - a2 * b1];
}

function dot(a: Colour, b: Colour): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
