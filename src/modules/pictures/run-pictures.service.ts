import { Injectable } from '@nestjs/common';
import type { FileDto } from '../../contract/files.dto.js';
import type { NewRunPictureDto, RunPictureBackDto, RunPicturesDto } from '../../contract/run-pictures.dto.js';
import { Refusal } from '../../core/refusal.js';
import { needPicture } from '../../store/acts/take-picture.js';
import { namesOf } from '../../store/questions/people.js';
import { controlPictures, isMeasured, picturesOfRun } from '../../store/questions/run-pictures.js';
import { type LoadedRun, loadRun } from '../../store/questions/runs.js';
import type { FileRow } from '../../store/rows/files.entity.js';
import { RunPictureBackRow, RunPictureRow } from '../../store/rows/run-pictures.entity.js';
import type { RunSubjectRow } from '../../store/rows/runs.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';

@Injectable()
export class RunPicturesService {
  constructor(private readonly store: Store) {}

  list({ laboratoryId }: Acting, runId: string): Promise<RunPicturesDto> {
    return this.store.read(laboratoryId, async (view) => {
      const loaded = await loadRun(view, runId);
      const pictures = await picturesOfRun(view, runId);
      const names = await namesOf(
        view,
        pictures.map(({ row }) => row.personId),
      );
      const controls = await controlPictures(view, loaded);
      return {
        pictures: pictures.map(({ row: { id, subjectId, step, exposure, at, personId }, file }) => ({
          id,
          subjectId,
          role: loaded.subjects.find((each) => each.subjectId === subjectId)?.role ?? 'patient',
          step,
          file: fileView(file),
          exposure,
          at,
          person: names[personId] ?? '',
        })),
        controls: controls.map(({ file, exposure, requirement, result }) => ({
          file: fileView(file),
          exposure,
          requirement,
          runId: result ? result.runId : runId,
          passed: result?.passed ?? null,
          readAt: result?.at ?? null,
        })),
      };
    });
  }

  async keep(acting: Acting, runId: string, body: NewRunPictureDto, key?: string): Promise<RunPicturesDto> {
    await this.store.change(
      acting,
      'run.picture-kept',
      async (unit) => {
        const loaded = await loadRun(unit, runId);
        const { subjectId, step, fileId, exposure } = body;
        const subject = needSubject(loaded, subjectId);
        checkStep(loaded, step);
        await needPicture(unit, fileId, 'fileId');
        if (subject.role === 'patient' && (await isMeasured(unit, fileId))) {
          const message = 'This picture is measured as one of a control; send the one of the patient’s slide.';
          throw new Refusal('conflict', 'control-picture', message, [{ at: 'fileId', message }]);
        }
        const { at, personId } = unit;
        const taken = { runId, subjectId, step: step ?? null, fileId, exposure: { ...exposure }, at, personId };
        const { id } = await unit.insert(RunPictureRow, taken);
        unit.about('run', runId, { picture: id, subject: subjectId, file: fileId });
      },
      onceOf(key, { runId, ...body }),
    );
    return this.list(acting, runId);
  }

  async takeBack(
    acting: Acting,
    { runId, pictureId }: { runId: string; pictureId: string },
    { reason }: RunPictureBackDto,
    key?: string,
  ): Promise<RunPicturesDto> {
    await this.store.change(
      acting,
      'run.picture-taken-back',
      async (unit) => {
        await unit.need(RunPictureRow, { id: pictureId, runId }, `picture ${pictureId} of this run`);
        if (await unit.one(RunPictureBackRow, { pictureId })) {
          throw new Refusal('conflict', 'taken-back-already', 'This picture was taken back already.');
        }
        const { at, personId } = unit;
        await unit.insert(RunPictureBackRow, { pictureId, reason, at, personId });
        unit.about('run', runId, { picture: pictureId });
      },
      onceOf(key, { runId, pictureId, reason }),
    );
    return this.list(acting, runId);
  }
}

function needSubject({ subjects }: LoadedRun, subjectId: string): RunSubjectRow {
  const found = subjects.find((each) => each.subjectId === subjectId);
  if (found) return found;
  const message = `"${subjectId}" is not in this run; it has ${subjects.map((each) => each.subjectId).join(', ')}.`;
  throw new Refusal('invalid', 'other-subject', message, [{ at: 'subjectId', message }]);
}

function checkStep({ revision: { title, content } }: LoadedRun, step: string | undefined): void {
  if (step === undefined || content.steps.some(({ id }) => id === step)) return;
  const message = `${title} has no step "${step}"; it has ${content.steps.map(({ id }) => id).join(', ')}.`;
  throw new Refusal('invalid', 'no-such-step', message, [{ at: 'step', message }]);
}

function fileView({ id, name, mediaType, bytes, sha256 }: FileRow): FileDto {
  return { id, name, mediaType, bytes, sha256 };
}
