import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { RUIFROK_JOHNSTON } from '../../../src/core/stain-image/deconvolution.js';
import { measured } from '../../../src/core/stain-image/measure.js';
import { LONGEST_SIDE, outlineOf, sampled } from '../../../src/core/stain-image/outline.js';
import type { Picture } from '../../../src/core/stain-image/picture.js';
import { besideCase, compareExposure, type Exposure } from '../../../src/core/stain-image/taken.js';
import { readPicture } from '../../../src/pictures/read.js';

const share = (mask: Uint8Array): number => mask.reduce((sum, each) => sum + each, 0) / mask.length;

describe('What is counted in a picture', () => {
  it('is outlined in white on its outermost pixels and black around them, not along the edge of the picture', () => {
    const mask = Uint8Array.from([0, 0, 0, 0, 1, 1, 0, 1, 1]);
    const { data } = outlineOf({ width: 3, height: 3, mask });
    const [white, black, clear] = ['w', 'b', '.'];
    const seen = Array.from(mask, (_, at) => (data[2 * at + 1] === 0 ? clear : data[2 * at] === 255 ? white : black));
    // By hand: a square of two by two in the corner, whose own corner is inside.
    expect(seen.join('')).toBe('.bbbwwbw.');
  });

  it('has the very share that the figure tells', async () => {
    const bright: Picture = {
      width: 40,
      height: 30,
      channels: 1,
      data: Uint16Array.from({ length: 1200 }, (_, at) => (at % 40 < 10 ? 1800 : 300)),
      full: 4095,
    };
    const glowing = measured(bright, { kind: 'fluorescence', band: 1, darkOffset: 0 });
    expect(glowing.counted?.metric).toBe('nuclear-area');
    expect(share(glowing.counted!.mask)).toBe(0.25);
    expect(share(glowing.counted!.mask)).toBeCloseTo(glowing.metrics['nuclear-area']!, 12);

    const file = readFileSync(new URL('../../vectors/images/ihc-left.png', import.meta.url));
    const { picture } = await readPicture(file);
    const { metrics, counted } = measured(picture, { kind: 'brightfield', stains: RUIFROK_JOHNSTON });
    expect(counted?.metric).toBe('haematoxylin.area');
    expect(share(counted!.mask)).toBeCloseTo(metrics['haematoxylin.area']!, 12);
    const { eosin, dab } = RUIFROK_JOHNSTON;
    const without = measured(picture, { kind: 'brightfield', stains: { eosin, dab, other: [1, 0, 0] } });
    expect(without.counted).toBeNull();
  });

  it('is looked at on every n-th pixel of a large picture', () => {
    const data = Uint8Array.from({ length: 2 * LONGEST_SIDE * 3 }, (_, at) => at % 251);
    const small = sampled({ width: 2 * LONGEST_SIDE, height: 3, channels: 1, data, full: 255 });
    expect([small.width, small.height]).toEqual([LONGEST_SIDE, 2]);
    expect([small.data[1], small.data[LONGEST_SIDE]]).toEqual([2, (2 * 2 * LONGEST_SIDE) % 251]);
  });
});

describe('Two pictures', () => {
  it.each<[Exposure, Exposure, string, string[], string[]]>([
    [{ exposureMs: 8, camera: 'C1' }, { exposureMs: 8, camera: ' c1 ' }, 'same', [], []],
    [{ exposureMs: 8 }, { exposureMs: 9 }, 'differs', ['exposureMs'], []],
    [{ exposureMs: 8, gain: 2 }, { exposureMs: 8 }, 'unknown', [], ['gain']],
    [{ exposureMs: 8, gain: 2 }, { exposureMs: 8, gain: 1, lamp: 'LED' }, 'differs', ['gain'], ['lamp']],
    [{ objective: '20x' }, { objective: '20x' }, 'unknown', [], ['exposureMs']],
    [{}, {}, 'unknown', [], ['exposureMs']],
  ])('taken at %j and %j: %s', (one, other, verdict, differs, unknown) => {
    expect(compareExposure(one, other)).toEqual({ verdict, differs, unknown });
    expect(compareExposure(other, one)).toEqual({ verdict, differs, unknown });
  });

  it('stand side by side at the same exposure if there is one, else where nobody can say, else all the same', () => {
    const [other, unsaid, same] = [{ exposureMs: 20 }, {}, { exposureMs: 8 }].map((exposure) => ({ exposure }));
    const taken = { exposureMs: 8 };
    expect(besideCase(taken, [other!, unsaid!, same!])).toBe(same);
    expect(besideCase(taken, [other!, unsaid!])).toBe(unsaid);
    expect(besideCase(taken, [other!])).toBe(other);
    expect(besideCase(taken, [])).toBeNull();
  });
});
