import { expect, it } from '@jest/globals';
import { counted } from '../../src/core/counted.js';

// English, common practice, no source: one thing is singular, none and several are plural.
it('says a count with what is counted', () => {
  expect([0, 1, 2].map((count) => counted(count, 'run'))).toEqual(['0 runs', '1 run', '2 runs']);
  expect([0, 1, 2].map((count) => counted(count, 'batch is', 'batches are'))).toEqual([
    '0 batches are',
    '1 batch is',
    '2 batches are',
  ]);
});
