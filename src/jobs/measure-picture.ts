import { Worker } from 'node:worker_threads';
import { addControlValue } from '../store/acts/add-control-value.js';
import { seriesOfPicture } from '../store/questions/pictures.js';
import { FileRow } from '../store/rows/files.entity.js';
import { MeasurementRow, PictureProgressRow, PictureRow } from '../store/rows/pictures.entity.js';
import { PictureOutlineRow } from '../store/rows/run-pictures.entity.js';
import type { Unit } from '../store/unit.js';
import type { View } from '../store/view.js';
import type { Handler } from './runner.js';
import type { Asked, Found, Said } from './measuring/thread.js';

/** Compiled, whoever asks: a thread runs no source. */
const THREAD = new URL('../../dist/jobs/measuring/thread.js', import.meta.url);

/** Longer than the largest picture takes on a slow machine. */
const GIVE_UP_MS = 10 * 60_000;

const OUTLINE_NAME = 'outline.png';

/** Measures a picture in a thread of its own and keeps the figures, each also in the series that asks for it. */
export const measurePicture: Handler = async (pictureId, { store, laboratoryId, filesDir }) => {
  const asked = await store.read(laboratoryId, (view) => whatIsAsked(view, pictureId, filesDir));
  if (!asked) return;
  const found = await inThread(asked, (done) =>
    store.housekeep(laboratoryId, (unit) => progressed(unit, pictureId, done)),
  );
  const program = { laboratoryId, personId: null, deviceId: null };
  await store.change(program, 'picture.measured', (unit) => keep(unit, pictureId, found));
};

async function whatIsAsked(view: View, pictureId: string, filesDir: string): Promise<Asked | null> {
  const { fileId, fieldFileId, measuring } = await view.need(PictureRow, { id: pictureId }, `picture ${pictureId}`);
  if (await view.one(MeasurementRow, { pictureId })) return null;
  const file = await view.need(FileRow, { id: fileId }, `file ${fileId}`);
  const field = fieldFileId === null ? null : await view.need(FileRow, { id: fieldFileId }, `file ${fieldFileId}`);
  const named = ({ sha256, name }: FileRow) => ({ sha256, name });
  return { filesDir, file: named(file), field: field && named(field), measuring };
}

/** What the thread found; throws when the work must be tried again. */
async function inThread(asked: Asked, told: (done: number) => Promise<void>): Promise<Found> {
  const thread = new Worker(THREAD, { workerData: asked });
  const pending: Promise<void>[] = [];
  try {
    return await new Promise<Found>((resolve, reject) => {
      const late = setTimeout(() => reject(new Error('measuring took longer than ten minutes')), GIVE_UP_MS);
      thread
        .on('message', (said: Said) => {
          if ('done' in said) pending.push(told(said.done));
          else resolve(said);
        })
        .on('error', reject)
        .on('exit', () => {
          clearTimeout(late);
          reject(new Error('the thread ended before it had measured'));
        });
    });
  } finally {
    await thread.terminate();
    await Promise.allSettled(pending);
  }
}

async function progressed(unit: Unit, pictureId: string, done: number): Promise<void> {
  if ((await unit.change(PictureProgressRow, { pictureId }, { done })) > 0) return;
  await unit.add(PictureProgressRow, { pictureId, done });
}

async function keep(unit: Unit, pictureId: string, found: Found): Promise<void> {
  // Two runners may have measured it at the same time.
  if (await unit.one(MeasurementRow, { pictureId })) return;
  const picture = await unit.need(PictureRow, { id: pictureId }, `picture ${pictureId}`);
  const { outline, ...figures } = found;
  await unit.insert(MeasurementRow, { pictureId, at: unit.at, ...figures });
  if (outline) {
    const file = await unit.insert(FileRow, { name: OUTLINE_NAME, ...outline.kept, personId: null });
    await unit.insert(PictureOutlineRow, { pictureId, fileId: file.id, metric: outline.metric });
  }
  await unit.remove(PictureProgressRow, { pictureId });
  const { series, runId } = await seriesOfPicture(unit, picture);
  const charted: Record<string, number> = {};
  for (const { id, metric } of series) {
    const value = metric === null ? null : (found.metrics?.[metric] ?? null);
    if (value === null || metric === null) continue;
    await addControlValue(unit, {
      seriesId: id,
      value,
      at: picture.at,
      batch: pictureId,
      ...(runId !== null && { runId }),
      fileId: picture.fileId,
    });
    charted[metric] = value;
  }
  unit.about('picture', pictureId, { refused: found.refused !== null, charted });
}
