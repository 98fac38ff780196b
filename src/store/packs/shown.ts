import { In } from 'typeorm';
import { ControlResultRow, ControlValueRow } from '../rows/control-results.entity.js';
import { FileRow } from '../rows/files.entity.js';
import { PersonRow, DeviceRow } from '../rows/people.entity.js';
import { PictureRow } from '../rows/pictures.entity.js';
import { RevisionRow } from '../rows/protocols.entity.js';
import type { SealedRow } from '../rows/record.entity.js';
import { RunPictureBackRow, RunPictureRow } from '../rows/run-pictures.entity.js';
import type { View } from '../view.js';
import { type Bounds, columnPages } from './plan.js';
import { sealedKind } from './kinds.js';

/** The files with pictures of these runs, of their controls and of what they stained; none that was taken back. */
export async function picturesOf(view: View, runs: readonly string[], last: number): Promise<FileRow[]> {
  if (runs.length === 0) return [];
  const runId = In([...runs]);
  const results = await view.all(ControlResultRow, { runId });
  const values = await view.all(ControlValueRow, { runId });
  const measured = [
    ...(await view.all(PictureRow, { subjectKind: 'run', subjectId: runId })),
    ...(await view.all(PictureRow, { subjectKind: 'reading', subjectId: In(results.map(({ id }) => id)) })),
  ];
  const stained = await view.all(RunPictureRow, { runId });
  const back = await view.all(RunPictureBackRow, { pictureId: In(stained.map(({ id }) => id)) });
  const ids = new Set([
    ...results.flatMap(({ pictures }) => pictures ?? []),
    ...values.flatMap(({ fileId }) => fileId ?? []),
    ...measured.flatMap(({ fileId, fieldFileId }) => [fileId, ...(fieldFileId === null ? [] : [fieldFileId])]),
    ...stained.flatMap(({ id, fileId }) => (back.some(({ pictureId }) => pictureId === id) ? [] : [fileId])),
  ]);
  const files = await view.all(FileRow, { id: In([...ids]) });
  return files.filter(({ seq, mediaType }) => seq <= last && mediaType.startsWith('image/'));
}

/** Revisions up to a record number, with their content as it was. */
export async function* revisionsTo(view: View, last: number): AsyncGenerator<RevisionRow> {
  for (const row of await view.all(RevisionRow, {}, { order: { protocolId: 'ASC', number: 'ASC' } })) {
    if (row.seq <= last) yield row;
  }
}

/** Who works here, without what protects their accounts. */
export async function staffOf(
  view: View,
): Promise<Pick<PersonRow, 'id' | 'name' | 'roles' | 'disabled' | 'createdAt'>[]> {
  const rows = await view.all(PersonRow);
  return rows.map(({ id, name, roles, disabled, createdAt }) => ({ id, name, roles, disabled, createdAt }));
}

export async function devicesOf(view: View): Promise<Pick<DeviceRow, 'id' | 'name' | 'createdAt' | 'revokedAt'>[]> {
  const rows = await view.all(DeviceRow);
  return rows.map(({ id, name, createdAt, revokedAt }) => ({ id, name, createdAt, revokedAt }));
}

/** Sealed values without their salt, a page at a time; whoever masks them sees the value, the pack never. */
export function sealedPages(
  view: View,
  bounds: Bounds,
): AsyncGenerator<(Pick<SealedRow, 'id' | 'seq' | 'kind' | 'value'> & { owner: string })[]> {
  const columns = 't.id AS id, t.seq AS seq, t.owner_id AS owner, t.kind AS kind, t.value AS value';
  return columnPages(view, sealedKind(view), bounds, columns);
}
