import { In, LessThan } from 'typeorm';
import type { PictureSubjectKind } from '../../core/stain-image/taken.js';
import { SeriesRow } from '../rows/control-results.entity.js';
import { FileRow } from '../rows/files.entity.js';
import { MeasurementRow, PictureProgressRow, PictureRow } from '../rows/pictures.entity.js';
import { PictureOutlineRow } from '../rows/run-pictures.entity.js';
import type { View } from '../view.js';
import { controlResult } from './control-results.js';
import { loadRun } from './runs.js';

export interface KnownPicture {
  row: PictureRow;
  file: FileRow;
  measurement: MeasurementRow | null;
  /** From 0 to 1; null before the work begins and after it. */
  progress: number | null;
  /** The outline of what its figures count. */
  outline: PictureOutlineRow | null;
}

/** A part of the list of pictures, newest first. */
export function picturesBefore(
  view: View,
  choice: {
    take: number;
    after?: string | undefined;
    subjectKind?: PictureSubjectKind;
    subjectId?: string;
    fileId?: string;
  },
): Promise<PictureRow[]> {
  const { take, after, subjectKind, subjectId, fileId } = choice;
  return view.all(
    PictureRow,
    {
      ...(after !== undefined && { id: LessThan(after) }),
      ...(subjectKind !== undefined && { subjectKind }),
      ...(subjectId !== undefined && { subjectId }),
      ...(fileId !== undefined && { fileId }),
    },
    { order: { id: 'DESC' }, take },
  );
}

/** Pictures with what became of each, in their order. */
export async function knownPictures(view: View, rows: readonly PictureRow[]): Promise<KnownPicture[]> {
  const pictureId = In(rows.map(({ id }) => id));
  const files = await view.all(FileRow, { id: In(rows.map(({ fileId }) => fileId)) });
  const measurements = await view.all(MeasurementRow, { pictureId });
  const outlines = await view.all(PictureOutlineRow, { pictureId });
  const progress = await view.all(PictureProgressRow, { pictureId }, { order: { pictureId: 'ASC' } });
  return rows.flatMap((row) => {
    const file = files.find(({ id }) => id === row.fileId);
    if (!file) return [];
    return [
      {
        row,
        file,
        measurement: measurements.find((each) => each.pictureId === row.id) ?? null,
        progress: progress.find((each) => each.pictureId === row.id)?.done ?? null,
        outline: outlines.find((each) => each.pictureId === row.id) ?? null,
      },
    ];
  });
}

/** The series that a picture's figures belong to, and the run that it is of. */
export async function seriesOfPicture(
  view: View,
  { subjectKind, subjectId, requirement }: PictureRow,
): Promise<{ series: SeriesRow[]; runId: string | null }> {
  if (subjectKind === null || subjectId === null) return { series: [], runId: null };
  switch (subjectKind) {
    case 'series':
      return { series: await view.all(SeriesRow, { id: subjectId }), runId: null };
    case 'reading': {
      const result = await controlResult(view, subjectId);
      if (!result) return { series: [], runId: null };
      return { series: await measuredSeries(view, result.protocolId, result.requirement), runId: result.runId };
    }
    case 'run': {
      const { revision } = await loadRun(view, subjectId);
      return { series: await measuredSeries(view, revision.protocolId, requirement ?? ''), runId: subjectId };
    }
  }
}

/** Those of a control that pictures are measured for; of a control with several levels a picture does not say which it shows. */
async function measuredSeries(view: View, protocolId: string, requirement: string): Promise<SeriesRow[]> {
  const all = await view.all(SeriesRow, { protocolId, requirement });
  return all.filter(({ code, metric }) => metric !== null && all.filter((each) => each.code === code).length === 1);
}
