import { In, LessThan } from 'typeorm';
import { IDENTIFIER_KINDS, type IdentifierKind } from '../../core/specimen/subject.js';
import { SealedRow } from '../rows/record.entity.js';
import { SubjectRow } from '../rows/specimens.entity.js';
import type { View } from '../view.js';

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

/** Those of these ids that there are; once all are there, none of them changes. */
export async function subjectsOf(view: View, ids: readonly string[]): Promise<SubjectRow[]> {
  let rows: SubjectRow[] = [];
  const all = await view.recall(`subjects ${ids.join(' ')}`, async () => {
    rows = await view.all(SubjectRow, { id: In([...ids]) });
    return rows.length === ids.length ? rows : null;
  });
  return all ?? rows;
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
