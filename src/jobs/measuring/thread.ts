import { Readable } from 'node:stream';
import { parentPort, workerData } from 'node:worker_threads';
import { Refusal } from '../../core/refusal.js';
import { measured, type Measuring, type Metrics } from '../../core/stain-image/measure.js';
import { outlineOf } from '../../core/stain-image/outline.js';
import type { Picture } from '../../core/stain-image/picture.js';
import { readPicture } from '../../pictures/read.js';
import { writePng } from '../../pictures/write-png.js';
import { FileFolder, type Kept } from '../../store/files/folder.js';

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
  /** The outline of what is counted, kept as a picture, and the metric that counts it; null where nothing is. */
  outline: { metric: string; kept: Kept } | null;
}

/** What the thread says: how far it is, from 0 to 1, and at its end what it found. */
export type Said = { done: number } | Found;

/** Decoding takes about this share of the work. */
const DECODED = 0.5;

/** An outline is at most a picture of 1600 by 1600 of two channels. */
const MOST_OUTLINE_BYTES = 8e6;

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
    const { metrics, counted } = measured(picture, measuring, shading, (done) =>
      say({ done: DECODED + (1 - DECODED) * done }),
    );
    const drawn = counted && {
      metric: counted.metric,
      kept: await folder.keep(Readable.from([writePng(outlineOf(counted))]), MOST_OUTLINE_BYTES),
    };
    say({ metrics, remarks, refused: null, ...size, outline: drawn });
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    say({
      metrics: null,
      remarks: [],
      refused: error.message,
      width: size?.width ?? null,
      height: size?.height ?? null,
      outline: null,
    });
  }
}

await work(workerData as Asked, (said) => parentPort?.postMessage(said));
