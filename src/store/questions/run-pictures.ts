import { In } from 'typeorm';
import type { ControlResult } from '../../core/controls/result.js';
import type { Exposure } from '../../core/stain-image/taken.js';
import { plusMs } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import { FileRow } from '../rows/files.entity.js';
import { PictureRow } from '../rows/pictures.entity.js';
import { RunPictureBackRow, RunPictureRow } from '../rows/run-pictures.entity.js';
import { RunSubjectRow } from '../rows/runs.entity.js';
import type { View } from '../view.js';
import { controlResults } from './control-results.js';
import { needLaboratory } from './laboratories.js';
import type { LoadedRun } from './loaded-run.js';

const DAY_MS = 86_400_000;

/** A picture of a control that may stand beside a case's. */
export interface ControlPicture {
  file: FileRow;
  exposure: Exposure;
  /** The result that it belongs to; null while nobody has read the control. */
  result: ControlResult | null;
  requirement: string;
}

/** Pictures of what a run stained, in the order of their taking, without those that were taken back. */
export async function picturesOfRun(view: View, runId: string): Promise<{ row: RunPictureRow; file: FileRow }[]> {
  return withFiles(view, await standing(view, await view.all(RunPictureRow, { runId })));
}

/**
 * Pictures of controls of a run's protocol that were stained on its day, the run's own first and then the newest, with how
 * each was taken, as it was written down at the bench or for its measuring.
 */
export async function controlPictures(
  view: View,
  { run, revision, subjects }: LoadedRun,
): Promise<readonly ControlPicture[]> {
  const { zone } = await needLaboratory(view);
  const near = await controlResults(view, {
    protocolId: revision.protocolId,
    from: plusMs(run.startedAt, -DAY_MS),
    to: plusMs(run.startedAt, DAY_MS),
  });
  const day = localDay(run.startedAt, zone);
  const results = near
    .filter(({ runId, stainedAt }) => runId === run.id || localDay(stainedAt, zone) === day)
    .sort((a, b) => Number(b.runId === run.id) - Number(a.runId === run.id) || (a.at < b.at ? 1 : -1));
  const read = results.flatMap((result) =>
    result.readings
      .flatMap(({ pictures }) => pictures ?? [])
      .map((fileId) => ({ fileId, result, requirement: result.requirement })),
  );
  const shown = (await picturesOfRun(view, run.id)).flatMap(({ row: { fileId, subjectId } }) => {
    const requirement = subjects.find((each) => each.subjectId === subjectId)?.control ?? null;
    return requirement === null ? [] : [{ fileId, result: null, requirement }];
  });
  const measured = (await view.all(PictureRow, { subjectKind: 'run', subjectId: run.id })).flatMap(
    ({ fileId, requirement }) => (requirement === null ? [] : [{ fileId, result: null, requirement }]),
  );
  const all = [...read, ...shown, ...measured];
  const once = all.filter(({ fileId }, n) => all.findIndex((each) => each.fileId === fileId) === n);
  const exposures = await exposuresOf(
    view,
    once.map(({ fileId }) => fileId),
  );
  const found = await withFiles(view, once);
  return found.map(({ row: { result, requirement }, file }) => ({
    file,
    exposure: exposures.get(file.id) ?? {},
    result,
    requirement,
  }));
}

/** Whether a file of this content stands as a picture of a patient's specimen or slide. */
export async function showsPatient(view: View, fileId: string): Promise<boolean> {
  const { sha256 } = await view.need(FileRow, { id: fileId }, `file ${fileId}`);
  const same = await view.all(FileRow, { sha256 });
  const shown = await standing(view, await view.all(RunPictureRow, { fileId: In(same.map(({ id }) => id)) }));
  for (const { runId, subjectId } of shown) {
    if (await view.one(RunSubjectRow, { runId, subjectId, role: 'patient' })) return true;
  }
  return false;
}

/** Whether a file of this content is measured as a picture of a control. */
export async function isMeasured(view: View, fileId: string): Promise<boolean> {
  const { sha256 } = await view.need(FileRow, { id: fileId }, `file ${fileId}`);
  const same = await view.all(FileRow, { sha256 });
  return (await view.count(PictureRow, { fileId: In(same.map(({ id }) => id)) })) > 0;
}

async function standing(view: View, rows: readonly RunPictureRow[]): Promise<RunPictureRow[]> {
  const back = await view.all(RunPictureBackRow, { pictureId: In(rows.map(({ id }) => id)) });
  return rows.filter(({ id }) => !back.some(({ pictureId }) => pictureId === id));
}

async function withFiles<R extends { fileId: string }>(
  view: View,
  rows: readonly R[],
): Promise<{ row: R; file: FileRow }[]> {
  const files = await view.all(FileRow, { id: In(rows.map(({ fileId }) => fileId)) });
  return rows.flatMap((row) => {
    const file = files.find(({ id }) => id === row.fileId);
    return file ? [{ row, file }] : [];
  });
}

/** By file, how its picture was taken: what was written down last. */
async function exposuresOf(view: View, fileIds: readonly string[]): Promise<Map<string, Exposure>> {
  const fileId = In([...fileIds]);
  const rows = [...(await view.all(PictureRow, { fileId })), ...(await view.all(RunPictureRow, { fileId }))];
  const told = rows.filter(({ exposure }) => Object.keys(exposure).length > 0).sort((a, b) => a.seq - b.seq);
  return new Map(told.map((row) => [row.fileId, row.exposure]));
}
