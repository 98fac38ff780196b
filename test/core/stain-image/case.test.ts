import { readFileSync } from 'node:fs';
import { describe, expect, it } from '@jest/globals';
import { computeStainimage } from '../../../src/core/stain-image/case.js';
import { expectClose, type Json } from '../../support/close.js';
import { decodePng } from '../../support/png.js';

interface StainCase {
  id: string;
  what: string;
  file?: string;
  tolerance?: { rel: number; abs: number };
  expected: Json;
}

const vectors = new URL('../../vectors/', import.meta.url);
// Source and making stand in the file: Ruifrok and Johnston 2001; numpy. The micrograph is half of ihc.png of the Debian package
// python3-skimage 0.19.3-8, no known copyright restrictions.
const { cases } = JSON.parse(readFileSync(new URL('stainimage.json', vectors), 'utf8')) as { cases: StainCase[] };
const read = (file: string) => Promise.resolve(decodePng(readFileSync(new URL(file, vectors))));

describe('the published stain image cases', () => {
  it('are all here', () => {
    expect(cases).toHaveLength(21);
  });

  it.each(cases)('$id $what', async ({ expected, tolerance = { rel: 1e-9, abs: 1e-9 }, ...given }) => {
    expectClose(await computeStainimage(given, read), expected, tolerance);
  });
});

describe('a stain image case that cannot be computed', () => {
  it.each<[string, unknown, string]>([
    ['neither pixel nor file', { id: 'X' }, 'file is missing'],
    ['two colours', { id: 'X', rgb: [1, 2] }, 'rgb is 1, 2'],
    ['a colour beyond 8 bits', { id: 'X', rgb: [1, 2, 256] }, 'from 0 to 255'],
    ['a negative colour', { id: 'X', rgb: [1, -2, 3] }, 'rgb.1 is -2'],
  ])('%s is refused with what would be right', async (_what, input, message) => {
    await expect(computeStainimage(input, read)).rejects.toThrow(
      expect.objectContaining({ message: expect.stringContaining(message) }),
    );
  });
});
