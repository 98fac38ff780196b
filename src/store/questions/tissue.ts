import { In, LessThanOrEqual } from 'typeorm';
import type { SpentBy } from '../../core/gate/facts.js';
import type { Instant } from '../../core/time/instant.js';
import { TissueMomentRow } from '../rows/tissue.entity.js';
import type { SubjectRow } from '../rows/specimens.entity.js';
import type { View } from '../view.js';
import { ALL_KNOWN } from './containers.js';
import { revisionOf } from './revisions.js';
import { subjectsOf } from './subjects.js';
import { grouped } from './grouped.js';

/** Specimens' recorded moments in the order of the record, by specimen. */
export async function momentsOf(
  view: View,
  specimenIds: readonly string[],
  upToSeq: number = ALL_KNOWN,
): Promise<Map<string, TissueMomentRow[]>> {
  if (specimenIds.length === 0) return new Map();
  const rows = await view.all(
    TissueMomentRow,
    { subjectId: In([...specimenIds]), seq: LessThanOrEqual(upToSeq) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  return grouped(
    rows,
    ({ subjectId }) => subjectId,
    (row) => row,
  );
}

/** A slide or piece with the specimen that it comes from; the piece itself where that is unknown or it is the specimen. */
export interface Piece {
  row: SubjectRow;
  specimen: SubjectRow;
}

/** Those of these ids that there are, each with its specimen, by id. */
export async function piecesOf(view: View, ids: readonly string[]): Promise<Map<string, Piece>> {
  const rows = await subjectsOf(view, ids);
  const parentIds = [...new Set(rows.flatMap(({ parentId }) => parentId ?? []))];
  const parents = new Map((await subjectsOf(view, parentIds)).map((row) => [row.id, row]));
  return new Map(rows.map((row) => [row.id, { row, specimen: parents.get(row.parentId ?? '') ?? row }]));
}

/** An earlier run that a piece went through, with what its protocol says that the piece is spent for. */
export interface EarlierRun {
  runId: string;
  startedAt: Instant;
  spent: SpentBy[];
}

/** By piece, the runs for patients in which it was stained, the earliest first. */
export async function earlierRuns(
  view: View,
  subjectIds: readonly string[],
  upToSeq: number,
): Promise<Map<string, EarlierRun[]>> {
  if (subjectIds.length === 0) return new Map();
  const places = subjectIds.map((_, n) => `$${n + 3}`).join(', ');
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT own.subject_id AS "subjectId", run.id AS "runId", run.started_at AS "startedAt", run.revision_id AS "revisionId"
      FROM run_subject own JOIN run ON run.id = own.run_id
      WHERE own.laboratory_id = $1 AND own.seq <= $2 AND own.subject_id IN (${places}) AND own.role = 'patient'
        AND (SELECT COUNT(*) FROM run_subject other WHERE other.subject_id = own.subject_id AND other.role = 'patient') > 1
        AND EXISTS (SELECT 1 FROM run_event event WHERE event.run_id = run.id AND event.kind = 'step-started' AND event.seq <= $2)
      ORDER BY run.started_at, run.id`,
    [view.laboratoryId, upToSeq, ...subjectIds],
  )) as { subjectId: string; runId: string; startedAt: Instant; revisionId: string }[];
  const found = new Map<string, EarlierRun[]>();
  for (const { subjectId, runId, startedAt, revisionId } of rows) {
    const { content, title } = await revisionOf(view, revisionId);
    const spent = content.fitness
      .filter(({ unfit }) => unfit)
      .map(({ use, statement, sources }) => ({ title, at: startedAt, use, statement, sources }));
    found.set(subjectId, [...(found.get(subjectId) ?? []), { runId, startedAt, spent }]);
  }
  return found;
}
