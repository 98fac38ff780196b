import { parentPort, workerData } from 'node:worker_threads';
import { Refusal } from '../../core/refusal.js';
import { measure, type Measuring, type Metrics } from '../../core/stain-image/measure.js';
import type { Picture } from '../../core/stain-image/picture.js';
import { readPicture } from '../../pictures/read.js';
import { FileFolder } from '../../store/files/folder.js';

interface Named {
  sha256: string;
  name: string;
}

/** What a thread is started with. */
export interface Asked {
  filesDir: string;
  file: Named;
  field: Named | null;
  measuring: Measuring;
}

/** What was measured, or why it could not be. */
export interface Found {
  metrics: Metrics | null;
  remarks: string[];
  refused: string | null;
  width: number | null;
  height: number | null;
}

/** What the thread says: how far it is, from 0 to 1, and at its end what it found. */
export type Said = { done: number } | Found;

/** Decoding takes about this share of the work. */
const DECODED = 0.5;

/** Decodes and measures in this thread, so that no request waits for it. A file that is gone ends the thread with its error. */
async function work({ filesDir, file, field, measuring }: Asked, say: (said: Said) => void): Promise<void> {
  const folder = new FileFolder(filesDir);
  const [content, empty] = [await folder.read(file), field && (await folder.read(field))];
  say({ done: 0.05 });
  let size: Pick<Picture, 'width' | 'height'> | null = null;
  try {
    const { picture, remarks } = await readPicture(content);
    size = { width: picture.width, height: picture.height };
    const shading = empty && (await readPicture(empty)).picture;
    say({ done: DECODED });
    const metrics = measure(picture, measuring, shading, (done) => say({ done: DECODED + (1 - DECODED) * done }));
    say({ metrics, remarks, refused: null, ...size });
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    say({
      metrics: null,
      remarks: [],
      refused: error.message,
      width: size?.width ?? null,
      height: size?.height ?? null,
    });
  }
}

await work(workerData as Asked, (said) => parentPort?.postMessage(said));
