import type { Measuring } from '../../core/stain-image/measure.js';
import type { Exposure, PictureSubjectKind } from '../../core/stain-image/taken.js';
import { Refusal } from '../../core/refusal.js';
import { controlResult } from '../questions/control-results.js';
import { SeriesRow } from '../rows/control-results.entity.js';
import { FileRow } from '../rows/files.entity.js';
import { PictureRow } from '../rows/pictures.entity.js';
import { RunRow } from '../rows/runs.entity.js';
import { showsPatient } from '../questions/run-pictures.js';
import type { Unit } from '../unit.js';

/** Name of the job that measures a picture; its target is the picture. */
export const MEASURE_JOB = 'measure-picture';

export interface NewPicture {
  fileId: string;
  fieldFileId?: string;
  subject?: { kind: PictureSubjectKind; id: string; requirement?: string };
  measuring: Measuring;
  exposure: Exposure;
}

/** Notes a picture that is to be measured, and queues that; refuses a file that is no picture and a subject that is not there. */
export async function takePicture(unit: Unit, taken: NewPicture): Promise<PictureRow> {
  const { fileId, fieldFileId, subject, measuring, exposure } = taken;
  await needPicture(unit, fileId, 'fileId');
  if (await showsPatient(unit, fileId)) {
    const message = 'This is a picture of a patient’s specimen or slide; only pictures of controls are measured.';
    throw new Refusal('conflict', 'patient-picture', message, [{ at: 'fileId', message }]);
  }
  if (fieldFileId !== undefined) await needPicture(unit, fieldFileId, 'fieldFileId');
  if (subject) await needSubject(unit, subject);
  const picture = await unit.insert(PictureRow, {
    fileId,
    fieldFileId: fieldFileId ?? null,
    subjectKind: subject?.kind ?? null,
    subjectId: subject?.id ?? null,
    requirement: subject?.requirement ?? null,
    measuring,
    exposure,
    at: unit.at,
    personId: unit.actor.personId,
  });
  await unit.enqueue(MEASURE_JOB, picture.id);
  return picture;
}

/** Refuses a file that is no picture. */
export async function needPicture(unit: Unit, id: string, at: string): Promise<void> {
  const file = await unit.one(FileRow, { id });
  if (file?.mediaType.startsWith('image/')) return;
  const message = file
    ? `"${file.name}" is ${file.mediaType}; name a PNG, JPEG or TIFF file.`
    : `There is no file ${id}; keep the file first, then name it.`;
  throw new Refusal('invalid', 'no-picture', message, [{ at, message }]);
}

async function needSubject(unit: Unit, { kind, id, requirement }: NonNullable<NewPicture['subject']>): Promise<void> {
  if (kind === 'reading' && !(await controlResult(unit, id))) {
    throw new Refusal('not-found', 'not-found', `There is no reading ${id} of a control.`);
  }
  if (kind === 'series') await unit.need(SeriesRow, { id }, `series ${id}`);
  if (kind !== 'run') return;
  await unit.need(RunRow, { id }, `run ${id}`);
  if (requirement !== undefined) return;
  const message = 'A run has several controls; say which one the picture shows.';
  throw new Refusal('invalid', 'no-requirement', message, [{ at: 'subject.requirement', message }]);
}
