import type { Release } from '../api.paths.js';

/** The frame of the tag that says where a release stands. */
export const RELEASE_FRAMES = {
  stands: 'plain',
  'looked at again': 'soft',
  'in question': 'double',
  amended: 'soft',
  withdrawn: 'full',
} as const satisfies Record<Release['standing'], string>;
