import { In, LessThan } from 'typeorm';
import { v7 as newId } from 'uuid';
import { IDENTIFIER_KINDS, type IdentifierKind } from '../../core/specimen/subject.js';
import { SealedRow } from '../rows/record.entity.js';
import { SubjectRow } from '../rows/specimens.entity.js';
import type { View } from '../view.js';
import { list, rowsOf, sql } from './sql.js';

/** Specimens, slides and controls, newest first, at most `take`, those before the id `after` in that order left out. */
export function subjects(
  view: View,
  choice: { label?: string; parentId?: string },
  { take, after }: { take: number; after?: string | undefined },
): Promise<SubjectRow[]> {
  return view.all(
    SubjectRow,
    { ...choice, ...(after === undefined ? {} : { id: LessThan(after) }) },
    { order: { id: 'DESC' }, take },
  );
}

/** The labels of the patients' specimens and slides in each of these runs. */
export async function labelsInRuns(view: View, runIds: readonly string[]): Promise<Map<string, string[]>> {
  const rows = await rowsOf<{ runId: string; label: string }>(
    view,
    sql`SELECT run_subject.run_id AS "runId", subject.label AS "label"
      FROM run_subject JOIN subject ON subject.id = run_subject.subject_id
      WHERE run_subject.run_id IN ${list(runIds)} AND run_subject.role = 'patient' ORDER BY run_subject.id`,
  );
  const labels = new Map<string, string[]>();
  for (const { runId, label } of rows) labels.set(runId, [...(labels.get(runId) ?? []), label]);
  return labels;
}

/** As many as one run has; what is asked of more at once is not asked again. */
const FEW = 100;

/** Those of these ids that there are; once all are there, none of them changes. */
export async function subjectsOf(view: View, ids: readonly string[]): Promise<SubjectRow[]> {
  if (ids.length === 0) return [];
  if (ids.length > FEW) return manySubjects(view, ids);
  let rows: SubjectRow[] = [];
  const all = await view.recall(`subjects ${ids.join(' ')}`, async () => {
    rows = await view.all(SubjectRow, { id: In([...ids]) });
    return rows.length === ids.length ? rows : null;
  });
  return all ?? rows;
}

/** By hand, since the gate asks for thousands when it judges anew. */
async function manySubjects(view: View, ids: readonly string[]): Promise<SubjectRow[]> {
  const places = ids.map((_, n) => `$${n + 2}`).join(', ');
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT id, laboratory_id AS "laboratoryId", seq, kind, label, parent_id AS "parentId", description,
        taken_at AS "takenAt", irreplaceable, cytology, tissue_test AS "tissueTest", patient
      FROM subject WHERE laboratory_id = $1 AND id IN (${places}) ORDER BY id`,
    [view.laboratoryId, ...ids],
  )) as (Omit<SubjectRow, 'irreplaceable'> & { irreplaceable: boolean | number })[];
  return rows.map((row) => ({ ...row, irreplaceable: Boolean(row.irreplaceable) }));
}

/** What tells whose a specimen or slide is; a value is null once it was removed by law. */
export async function identifiersOf(
  view: View,
  subjectId: string,
): Promise<{ kind: IdentifierKind; value: string | null }[]> {
  const sealed = await view.all(SealedRow, { ownerId: subjectId });
  return IDENTIFIER_KINDS.flatMap((kind) => {
    const row = sealed.find((each) => each.kind === kind);
    return row ? [{ kind, value: row.value }] : [];
  });
}

/**
 * What tells the patient of a number apart from others without telling who it is: the key that an earlier specimen of that
 * number has, else a new one; null without a number.
 */
export async function patientKey(view: View, number: string | undefined): Promise<string | null> {
  if (number === undefined) return null;
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT subject.patient AS "patient" FROM sealed_value JOIN subject ON subject.id = sealed_value.owner_id
      WHERE sealed_value.laboratory_id = $1 AND sealed_value.kind = 'patient number' AND sealed_value.value = $2
        AND subject.patient IS NOT NULL
      ORDER BY subject.seq LIMIT 1`,
    [view.laboratoryId, number],
  )) as { patient: string }[];
  return rows[0]?.patient ?? newId();
}
