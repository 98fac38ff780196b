import { expect, it } from '@jest/globals';
import { join } from 'node:path';
import { benchScriptKb } from '../bench/pages.js';
import { ROOT } from '../cli/stainwright.js';

/** What a bench on a slow network may load before its first timer shows. */
const MOST_KB = 250;

it(`the bench's first load is under ${MOST_KB} kB of compressed script`, () => {
  const kB = benchScriptKb(join(ROOT, 'dist/web'));
  expect(kB).toBeGreaterThan(50);
  expect(kB).toBeLessThan(MOST_KB);
});
