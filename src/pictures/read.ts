import { fileTypeOf } from '../core/file/file-type.js';
import { readJpeg } from './jpeg.js';
import { readPng } from './png.js';
import type { ReadPicture } from './read-picture.js';
import { refused } from './refused.js';
import { readTiff } from './tiff.js';

/**
 * Decodes a picture of 8 or 16 bits a colour from a PNG, JPEG or TIFF file, told by its first bytes. Refuses what is none, broken,
 * cut off, of a kind that cannot be measured, or larger than 64 megapixels by its own header, which is looked at first.
 */
export async function readPicture(bytes: Buffer): Promise<ReadPicture> {
  switch (fileTypeOf(bytes)) {
    case 'image/png':
      return readPng(bytes);
    case 'image/jpeg':
      return readJpeg(bytes);
    case 'image/tiff':
      return readTiff(bytes);
    default:
      throw refused('This is no picture that can be measured; give a PNG, JPEG or TIFF file.');
  }
}
