import { readFileSync } from 'node:fs';
import { Refusal } from '../core/refusal.js';
import type { Picture } from '../core/stain-image/picture.js';
import { readPicture } from '../pictures/read.js';

/** The picture in a PNG, JPEG or TIFF file, named in what it is refused for (see readPicture). */
export async function readPictureFile(file: string): Promise<Picture> {
  try {
    return (await readPicture(readFileSync(file))).picture;
  } catch (error) {
    if (error instanceof Refusal) throw new Refusal(error.kind, error.code, `${file}: ${error.message}`);
    const code = (error as NodeJS.ErrnoException).code ?? (error as Error).message;
    throw new Refusal('invalid', 'bad-picture', `${file} cannot be read (${code}); give the path of a picture.`);
  }
}
