import { Refusal } from '../refusal.js';
import { countedColours } from './colours.js';
import { amountsOf, type Stains, type Unmixing, unmixing } from './deconvolution.js';
import { distributionOf } from './distribution.js';
import { type Band, evenness, saturatedFraction, type SignalToBackground, signalToBackground } from './fluorescence.js';
import { type Counted, sampled } from './outline.js';
import { checkedPicture, type Colour, offsets, type Picture } from './picture.js';
import { varianceOfLaplacian } from './sharpness.js';

/** How a picture was lit: light through the stained slide, or light that the dye gives off. */
export const PICTURE_KINDS = ['brightfield', 'fluorescence'] as const;
export type PictureKind = (typeof PICTURE_KINDS)[number];

/** How a picture is to be measured. */
export type Measuring =
  | { kind: 'brightfield'; stains: Stains }
  | {
      kind: 'fluorescence';
      /** The colour that the dye glows in; a grey picture has only one. */
      band: Band;
      /** What the camera gives in the dark. */
      darkOffset: number;
    };

/** Figures by the name of the metric, such as 'dab.mean'; null where there is nothing to measure. */
export type Metrics = Record<string, number | null>;

/** Above so much optical density a pixel counts as stained (Macenko et al., ISBI 2009, who use it on the natural logarithm). */
export const STAINED = 0.15;

/** What is told of each stain; `area` is the share of pixels above 0.15 of optical density. */
const OF_STAIN = ['mean', 'median', 'p95', 'area'] as const;

/** The metrics of a way of measuring, in the order of their making. `metricsOf({kind: 'brightfield', stains}).length` is 15. */
export function metricsOf(measuring: Measuring): string[] {
  if (measuring.kind === 'fluorescence') {
    return ['signal-to-background', 'signal', 'background', 'nuclear-area', 'saturated', 'focus', 'evenness'];
  }
  const stains = Object.keys(measuring.stains).flatMap((stain) => OF_STAIN.map((what) => `${stain}.${what}`));
  return [...stains, 'saturated', 'focus', 'evenness'];
}

/**
 * All metrics of one picture. Brightfield: optical density by stain (see amountsOf) with white from the empty field `field`, else
 * the full value, and the evenness of that field. Fluorescence: signal and background in the dye's colour on a scale of 0 to 1 of
 * the full value, and their ratio (see signalToBackground), the evenness of `field` or of the picture itself. With a field of the
 * same size the picture is first freed of its shading (see flatFielded). `told` hears the share done. It measures the stain, never
 * the patient. Refuses what its parts refuse.
 */
export function measure(
  picture: Picture,
  measuring: Measuring,
  field: Picture | null = null,
  told: (done: number) => void = () => undefined,
): Metrics {
  return measured(picture, measuring, field, told).metrics;
}

/**
 * The same with what of the picture counts as nuclei, by the very threshold that the figures use: above Otsu's in the dye's colour
 * ('nuclear-area'), in brightfield more than 0.15 of haematoxylin ('haematoxylin.area'); null where no stain is named so.
 */
export function measured(
  picture: Picture,
  measuring: Measuring,
  field: Picture | null = null,
  told: (done: number) => void = () => undefined,
): { metrics: Metrics; counted: Counted | null } {
  const dark = measuring.kind === 'fluorescence' ? measuring.darkOffset : 0;
  const even = field ? flatFielded(picture, field, dark) : picture;
  const metrics: Metrics = {};
  let counted: Counted | null = null;
  metrics['focus'] = varianceOfLaplacian(even);
  told(0.25);
  if (measuring.kind === 'fluorescence') {
    const band = picture.channels < 3 ? 0 : measuring.band;
    metrics['saturated'] = saturatedFraction(picture);
    metrics['evenness'] = evenness(field ?? picture, band, dark);
    const found = signalToBackground(even, band, dark);
    Object.assign(metrics, glow(found, even.full));
    counted = found && brighter(sampled(even), band, found.threshold);
  } else {
    const matrix = unmixing(measuring.stains);
    const white = field ? meanColour(field) : fullWhite(picture);
    metrics['evenness'] = field ? Math.min(...([0, 1, 2] as const).map((band) => evenness(field, band))) : null;
    const names = Object.keys(measuring.stains);
    const { colours, counts } = countedColours(even);
    metrics['saturated'] = field ? saturatedFraction(picture) : saturatedFraction(colours, counts);
    const amounts = new Float64Array(colours.width * colours.height);
    told(0.6);
    for (const [i, stain] of names.entries()) {
      const { mean, median, p95, fractionAbove } = distributionOf(
        amountsOf(colours, i as 0 | 1 | 2, matrix, white, amounts),
        STAINED,
        counts,
      );
      const found: Record<(typeof OF_STAIN)[number], number> = { mean, median, p95, area: fractionAbove };
      for (const what of OF_STAIN) metrics[`${stain}.${what}`] = found[what];
      told(0.6 + (0.4 * (i + 1)) / names.length);
    }
    const nuclear = names.indexOf(NUCLEAR);
    if (nuclear !== -1) counted = stained(sampled(even), nuclear as 0 | 1 | 2, matrix, white);
  }
  return { metrics: Object.fromEntries(metricsOf(measuring).map((name) => [name, metrics[name] ?? null])), counted };
}

/** The stain of nuclei by its name. */
const NUCLEAR = 'haematoxylin';

function brighter(picture: Picture, band: Band, threshold: number): Counted {
  const { width, height, channels, data } = picture;
  const mask = new Uint8Array(width * height);
  for (let pixel = 0, at = offsets(picture)[band]; pixel < mask.length; pixel++, at += channels) {
    mask[pixel] = (data[at] as number) > threshold ? 1 : 0;
  }
  return { metric: 'nuclear-area', width, height, mask };
}

function stained(picture: Picture, stain: 0 | 1 | 2, matrix: Unmixing, white: Colour): Counted {
  const amounts = amountsOf(picture, stain, matrix, white);
  const mask = new Uint8Array(amounts.length);
  for (let pixel = 0; pixel < mask.length; pixel++) mask[pixel] = (amounts[pixel] as number) > STAINED ? 1 : 0;
  return { metric: `${NUCLEAR}.area`, width: picture.width, height: picture.height, mask };
}

function glow(found: SignalToBackground | null, full: number): Metrics {
  const scaled = (value: number | undefined) => (value === undefined ? null : value / full);
  return {
    'signal-to-background': found?.ratio ?? null,
    signal: scaled(found?.signal),
    background: scaled(found?.background),
    'nuclear-area': found?.nuclearFraction ?? null,
  };
}

/**
 * The picture without the shading of lamp and lens: each sample less the dark offset, times the mean of the empty field's colour
 * over the field at that place, rounded and cut off at the full value (flat-field correction; common practice, no source). Where the field is
 * not above the dark offset, samples stay. Refuses a field of another size, depth or colours. A picture that is its own field
 * becomes even.
 */
export function flatFielded(picture: Picture, field: Picture, dark = 0): Picture {
  const { width, height, channels, data, full } = checkedPicture(picture);
  checkedPicture(field);
  if (field.width !== width || field.height !== height || field.channels !== channels || field.full !== full) {
    throw new Refusal(
      'invalid',
      'other-field',
      `the picture has ${width} by ${height} pixels, ${channels} channels and the full value ${full}, the empty field ${field.width} by ${field.height}, ${field.channels} and ${field.full}; take both alike`,
    );
  }
  // Alpha, the last of an even number of channels, is no light.
  const colours = channels % 2 === 0 ? channels - 1 : channels;
  const even = full > 255 ? new Uint16Array(data.length) : new Uint8Array(data.length);
  const means = meansOf(field);
  for (let i = 0, channel = 0; i < data.length; i++, channel = channel + 1 === channels ? 0 : channel + 1) {
    const light = (field.data[i] ?? 0) - dark;
    const sample = data[i] ?? 0;
    if (channel >= colours || light <= 0) even[i] = sample;
    else {
      const corrected = dark + ((sample - dark) * ((means[channel] ?? 0) - dark)) / light;
      even[i] = Math.min(full, Math.max(0, Math.round(corrected)));
    }
  }
  return { width, height, channels, data: even, full };
}

function meansOf({ data, channels }: Picture): number[] {
  const sums = new Array<number>(channels).fill(0);
  for (let i = 0, channel = 0; i < data.length; i++, channel = channel + 1 === channels ? 0 : channel + 1) {
    sums[channel] = (sums[channel] ?? 0) + (data[i] ?? 0);
  }
  return sums.map((sum) => (sum * channels) / data.length);
}

function meanColour(field: Picture): Colour {
  const [red = 0, green = 0, blue = 0] = meansOf(field);
  return field.channels < 3 ? [red, red, red] : [red, green, blue];
}

function fullWhite({ full }: Picture): Colour {
  return [full, full, full];
}
