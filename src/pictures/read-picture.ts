import type { Picture } from '../core/stain-image/picture.js';

/** A picture with what its file left out or held beside it. */
export interface ReadPicture {
  picture: Picture;
  /** What whoever relies on the figures should know, in words. */
  remarks: string[];
}
