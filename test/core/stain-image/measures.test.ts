import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { measurePicture } from '../../../src/core/stain-image/case.js';
import { countedColours } from '../../../src/core/stain-image/colours.js';
import {
  amountsOf,
  opticalDensity,
  residual,
  RUIFROK_JOHNSTON,
  stainAmounts,
  unmixing,
} from '../../../src/core/stain-image/deconvolution.js';
import { distributionOf } from '../../../src/core/stain-image/distribution.js';
import { evenness, saturatedFraction, signalToBackground } from '../../../src/core/stain-image/fluorescence.js';
import type { Colour, Picture } from '../../../src/core/stain-image/picture.js';
import { varianceOfLaplacian } from '../../../src/core/stain-image/sharpness.js';

const grey = (width: number, height: number, values: number[], full = 255): Picture => ({
  width,
  height,
  channels: 1,
  data: full > 255 ? Uint16Array.from(values) : Uint8Array.from(values),
  full,
});
const white: Colour = [255, 255, 255];
const refusal = (code: string) => expect.objectContaining({ code });
const sample = fc.integer({ min: 1, max: 255 });

describe('stains', () => {
  // Beer-Lambert with the vectors of Ruifrok and Johnston 2001: half a unit of haematoxylin and 0.3 of eosin, worked by hand.
  it('of a mixture come apart into what was mixed', () => {
    const h = 1 / Math.hypot(0.65, 0.7, 0.29);
    const e = 1 / Math.hypot(0.07, 0.99, 0.11);
    const density = [0.65, 0.7, 0.29].map((part, i) => 0.5 * h * part + 0.3 * e * [0.07, 0.99, 0.11][i]!);
    expect(density).toEqual([0.3466, 0.648, 0.1783].map((od) => expect.closeTo(od, 4)));
    const pixel = density.map((od) => 255 * 10 ** -od) as Colour;
    expect(stainAmounts(pixel, unmixing(RUIFROK_JOHNSTON), white)).toEqual(
      [0.5, 0.3, 0].map((a) => expect.closeTo(a, 12)),
    );
  });

  it('of every pixel are those of the pixel alone, in colour pictures with and without alpha, of 8 and more bits', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(sample, sample, sample), { minLength: 1, maxLength: 20 }), (pixels) => {
        const matrix = unmixing(RUIFROK_JOHNSTON);
        const size = { width: pixels.length, height: 1 };
        const pictures: Picture[] = [
          { ...size, channels: 3, data: Uint8Array.from(pixels.flat()), full: 255 },
          { ...size, channels: 4, data: Uint8Array.from(pixels.flatMap((p) => [...p, 0])), full: 255 },
          { ...size, channels: 3, data: Uint16Array.from(pixels.flat().map((v) => v * 4)), full: 1020 },
        ];
        for (const picture of pictures) {
          const full: Colour = [picture.full, picture.full, picture.full];
          for (const stain of [0, 1, 2] as const) {
            const expected = pixels.map((pixel) => expect.closeTo(stainAmounts(pixel, matrix, white)[stain], 10));
            expect([...amountsOf(picture, stain, matrix, full)]).toEqual(expected);
          }
        }
      }),
    );
  });

  it('are none where the field is empty, and bounded where it is black', () => {
    expect(stainAmounts([240, 235, 250], unmixing(RUIFROK_JOHNSTON), [240, 235, 250])).toEqual([0, 0, 0]);
    expect([opticalDensity(0, 255), opticalDensity(0, 65_535)]).toEqual([
      Math.log10(255),
      expect.closeTo(Math.log10(255), 12),
    ]);
  });

  it('of two on a slide leave the rest to a third at right angles', () => {
    const third = residual(RUIFROK_JOHNSTON.haematoxylin, RUIFROK_JOHNSTON.dab);
    for (const stain of [RUIFROK_JOHNSTON.haematoxylin, RUIFROK_JOHNSTON.dab]) {
      expect(third.reduce((sum, part, i) => sum + part * stain[i]!, 0)).toBeCloseTo(0, 12);
    }
    expect(Math.hypot(...third)).toBeCloseTo(1, 12);
  });

  it.each<[string, () => unknown, string]>([
    ['two vectors', () => unmixing({ a: [1, 0, 0], b: [0, 1, 0] }), 'bad-stains'],
    ['vectors in one plane', () => unmixing({ a: [1, 0, 0], b: [0, 1, 0], c: [1, 1, 0] }), 'bad-stains'],
    ['a vector of nothing', () => unmixing({ a: [0, 0, 0], b: [0, 1, 0], c: [0, 0, 1] }), 'bad-stains'],
    ['a grey picture', () => measurePicture(grey(1, 1, [9])), 'bad-picture'],
    [
      'a white of nothing',
      () => amountsOf({ ...grey(1, 1, [1, 2, 3]), channels: 3 }, 0, unmixing(RUIFROK_JOHNSTON), [0, 1, 1]),
      'bad-setting',
    ],
    ['samples missing', () => saturatedFraction(grey(2, 2, [1, 2, 3])), 'bad-picture'],
    ['no pixel', () => varianceOfLaplacian(grey(0, 1, [])), 'bad-picture'],
    ['no full value', () => saturatedFraction({ ...grey(1, 1, [1]), full: 0 }), 'bad-picture'],
  ])('%s are refused', (_what, act, code) => {
    expect(act).toThrow(refusal(code));
  });
});

describe('a distribution', () => {
  // Sorting is the witness; ties, and values of very different size, are what a histogram could get wrong.
  it('has the quantiles of the sorted values', () => {
    const value = fc.oneof(fc.double({ min: -3, max: 3, noNaN: true }), fc.constantFrom(0, 1, 1e-9, 2e9));
    fc.assert(
      fc.property(fc.array(value, { minLength: 1, maxLength: 200 }), (values) => {
        const sorted = values.toSorted((a, b) => a - b);
        const quantile = (p: number) => {
          const rank = p * (sorted.length - 1);
          const [left, right] = [sorted[Math.floor(rank)]!, sorted[Math.ceil(rank)]!];
          return left + (right - left) * (rank - Math.floor(rank));
        };
        const got = distributionOf(Float64Array.from(values), 0.5);
        expect([got.median, got.p95]).toEqual([quantile(0.5), quantile(0.95)]);
        expect(got.fractionAbove).toBe(values.filter((v) => v > 0.5).length / values.length);
      }),
    );
  });

  it('of many values is that of a few repeated', () => {
    const many = Float64Array.from({ length: 300_000 }, (_, i) => (i * 7919) % 1000);
    expect(distributionOf(many, 949)).toEqual({
      mean: expect.closeTo(499.5, 9),
      sd: expect.closeTo(Math.sqrt(((1000 ** 2 - 1) / 12) * (300_000 / 299_999)), 6),
      median: 499.5,
      p95: expect.closeTo(949.05, 9),
      fractionAbove: 0.05,
    });
  });

  // Each value written out as often as it counts is the witness.
  it('of counted values is that of the values written out', () => {
    const counted = fc.tuple(fc.double({ min: -3, max: 3, noNaN: true }), fc.integer({ min: 1, max: 50 }));
    fc.assert(
      fc.property(fc.array(counted, { minLength: 1, maxLength: 40 }), (list) => {
        const out = distributionOf(Float64Array.from(list.flatMap(([value, n]) => Array<number>(n).fill(value))), 0.5);
        const got = distributionOf(
          Float64Array.from(list.map(([value]) => value)),
          0.5,
          Uint32Array.from(list.map(([, n]) => n)),
        );
        expect(got).toEqual({ ...out, mean: expect.closeTo(out.mean, 9), sd: expect.closeTo(out.sd, 9) });
      }),
    );
  });

  it('of one value has no spread, and of none is refused', () => {
    expect(distributionOf(Float64Array.of(2), 1)).toEqual({ mean: 2, sd: 0, median: 2, p95: 2, fractionAbove: 1 });
    expect(() => distributionOf(new Float64Array(0), 1)).toThrow(refusal('bad-result'));
    expect(() => distributionOf(Float64Array.of(1, NaN), 1)).toThrow(refusal('bad-result'));
  });
});

describe('the colours of a picture', () => {
  it('are each told once, with the number of their pixels, alpha left out', () => {
    const data = Uint8Array.of(9, 0, 255, 1, 0, 0, 1, 2, 9, 0, 255, 3);
    expect(countedColours({ width: 3, height: 1, channels: 4, data, full: 255 })).toEqual({
      colours: { width: 2, height: 1, channels: 3, data: Uint8Array.of(0, 0, 1, 9, 0, 255), full: 255 },
      counts: Uint32Array.of(1, 2),
    });
  });

  it('of more bits stay as they are', () => {
    const picture: Picture = { width: 2, height: 1, channels: 3, data: Uint16Array.of(1, 2, 3, 1, 2, 3), full: 65_535 };
    expect(countedColours(picture)).toEqual({ colours: picture, counts: Uint32Array.of(1, 1) });
  });
});

describe('focus', () => {
  // Worked by hand: a single bright pixel of 3 by 3 has the Laplacian -4 at its place and 1 at its four neighbours.
  it('of one bright pixel', () => {
    expect(varianceOfLaplacian(grey(3, 3, [0, 0, 0, 0, 1, 0, 0, 0, 0]))).toBeCloseTo((16 + 4) / 9, 12);
  });

  it('of an even picture is 0, grows with the square of contrast, and is on one scale for 8 and 16 bits', () => {
    const values = fc.array(fc.integer({ min: 0, max: 127 }), { minLength: 12, maxLength: 12 });
    expect(varianceOfLaplacian(grey(4, 3, Array<number>(12).fill(77)))).toBe(0);
    fc.assert(
      fc.property(values, (list) => {
        const once = varianceOfLaplacian(grey(4, 3, list));
        expect(
          varianceOfLaplacian(
            grey(
              4,
              3,
              list.map((v) => 2 * v),
            ),
          ),
        ).toBeCloseTo(4 * once, 6);
        expect(
          varianceOfLaplacian(
            grey(
              4,
              3,
              list.map((v) => 257 * v),
              65_535,
            ),
          ),
        ).toBeCloseTo(once, 6);
      }),
    );
  });
});

describe('fluorescence', () => {
  // Standard definition: nuclei at 1800 on a background of 300 have the ratio 6.
  it('parts nuclei from background and compares their means', () => {
    const values = [...Array<number>(30).fill(300), ...Array<number>(10).fill(1800)];
    expect(signalToBackground(grey(10, 4, values, 4095), 0)).toEqual({
      threshold: 300,
      signal: 1800,
      background: 300,
      ratio: 6,
      nuclearFraction: 0.25,
    });
    expect(signalToBackground(grey(10, 4, values, 4095), 0, 100)?.ratio).toBeCloseTo(8.5, 12);
    expect(signalToBackground(grey(10, 4, values, 4095), 0, 300)?.ratio).toBeNull();
    expect(signalToBackground(grey(2, 1, [5, 5]), 0)).toBeNull();
  });

  // Otsu 1979: the threshold that leaves the least variance within the two classes, looked for by trying all.
  it("takes Otsu's threshold", () => {
    const values = fc.array(fc.integer({ min: 0, max: 40 }), { minLength: 4, maxLength: 40 });
    const spread = (list: number[]) => {
      const mean = list.reduce((a, b) => a + b, 0) / list.length;
      return list.reduce((sum, v) => sum + (v - mean) ** 2, 0);
    };
    const within = (list: number[], t: number) =>
      spread(list.filter((v) => v <= t)) + spread(list.filter((v) => v > t));
    fc.assert(
      fc.property(values, (list) => {
        const got = signalToBackground(grey(list.length, 1, list), 0);
        if (!got) return expect(new Set(list).size).toBe(1);
        const possible = [...new Set(list)].sort((a, b) => a - b).slice(0, -1);
        expect(within(list, got.threshold)).toBeCloseTo(Math.min(...possible.map((t) => within(list, t))), 6);
      }),
    );
  });

  it('counts a pixel as saturated when one of its colours is', () => {
    const data = Uint8Array.of(255, 0, 0, 9, 254, 254, 254, 255, 0, 0, 255, 9);
    expect(saturatedFraction({ width: 3, height: 1, channels: 4, data, full: 255 })).toBe(2 / 3);
  });

  it('is even when every tile is as bright as the others', () => {
    const field = (bright: (x: number, y: number) => number) =>
      grey(
        16,
        8,
        Array.from({ length: 128 }, (_, i) => bright(i % 16, Math.floor(i / 16))),
      );
    expect(
      evenness(
        field(() => 100),
        0,
      ),
    ).toBe(1);
    expect(
      evenness(
        field((x) => (x < 2 ? 50 : 100)),
        0,
      ),
    ).toBe(0.5);
    expect(
      evenness(
        field((x) => (x < 2 ? 50 : 100)),
        0,
        50,
      ),
    ).toBe(0);
    expect(() =>
      evenness(
        field(() => 0),
        0,
      ),
    ).toThrow(refusal('bad-picture'));
    expect(() => evenness(grey(4, 4, Array<number>(16).fill(1)), 0)).toThrow(refusal('bad-picture'));
  });
});
