import { In } from 'typeorm';
import {
  type DeviationAct,
  deviationStanding,
  type DeviationStanding,
  type DeviationSubject,
  type DueItem,
  dueItems,
} from '../../core/deviations/deviation.js';
import { DeviationActRow, DeviationRow } from '../rows/deviations.entity.js';
import type { DeviationDue } from '../../core/alerts/deviation.js';
import type { View } from '../view.js';
import { namesOf } from './people.js';
import { asked } from './trace/reach.js';

/** A deviation, all that was done about it, and where that leaves it. */
export interface KnownDeviation {
  row: DeviationRow;
  acts: DeviationActRow[];
  standing: DeviationStanding;
  /** What is due first stands first. */
  due: DueItem[];
}

const CLOSED = `COALESCE((SELECT kind FROM deviation_act WHERE deviation_act.deviation_id = deviation.id
  AND kind IN ('closed', 'reopened') ORDER BY seq DESC, id DESC LIMIT 1), 'reopened') = 'closed'`;

/** The deviation of an id; refuses when there is none. */
export async function needDeviation(view: View, id: string): Promise<KnownDeviation> {
  const row = await view.need(DeviationRow, { id }, `deviation ${id}`);
  const [known] = await withActs(view, [row]);
  return known as KnownDeviation;
}

/** What deviations are opened from. */
export interface SubjectFilter {
  subject?: DeviationSubject | undefined;
  subjectId?: string | undefined;
}

/** All that are open, in the order of their numbers. */
export async function openDeviations(view: View, filter: SubjectFilter = {}): Promise<KnownDeviation[]> {
  return withActs(view, await rowsWhere(view, `NOT (${CLOSED})`, filter, 'ORDER BY number'));
}

/** Those that are closed, the newest first, at most `take`, below the number `before`. */
export async function closedDeviations(
  view: View,
  filter: SubjectFilter,
  { take, before }: { take: number; before: number },
): Promise<KnownDeviation[]> {
  return withActs(
    view,
    await rowsWhere(view, `number < ${before} AND ${CLOSED}`, filter, `ORDER BY number DESC LIMIT ${take}`),
  );
}

/** Those that were opened from one thing, in the order of their numbers; of a run those from one finding, if it is given. */
export async function deviationsAbout(
  view: View,
  filter: Required<SubjectFilter>,
  findingId?: string,
): Promise<KnownDeviation[]> {
  const known = await withActs(view, await rowsWhere(view, '1 = 1', filter, 'ORDER BY number'));
  return known.filter(({ row }) => findingId === undefined || row.finding?.id === findingId);
}

/** What is to be done about open ones, and by whom. */
export async function dueOfDeviations(view: View): Promise<DeviationDue[]> {
  const open = await openDeviations(view);
  const names = await namesOf(
    view,
    open.flatMap(({ due }) => due.map(({ ownerId }) => ownerId)),
  );
  return open.flatMap(({ row: { id, number, title }, due }) =>
    due.map((item) => ({ id, number, title, item, owner: names[item.ownerId] ?? '' })),
  );
}

/** The number of the next one. */
export async function nextNumber(view: View): Promise<number> {
  const [row] = await asked<{ last: number | null }>(
    view,
    'SELECT MAX(number) AS last FROM deviation WHERE laboratory_id = $1',
    [view.laboratoryId],
  );
  return (row?.last ?? 0) + 1;
}

async function rowsWhere(
  view: View,
  condition: string,
  { subject, subjectId }: SubjectFilter,
  order: string,
): Promise<DeviationRow[]> {
  const given = [
    { column: 'subject', value: subject },
    { column: 'subject_id', value: subjectId },
  ].filter((each): each is { column: string; value: string } => each.value !== undefined);
  const ids = await asked<{ id: string }>(
    view,
    `SELECT id FROM deviation WHERE laboratory_id = $1
      ${given.map(({ column }, n) => `AND ${column} = $${n + 2}`).join(' ')} AND ${condition} ${order}`,
    [view.laboratoryId, ...given.map(({ value }) => value)],
  );
  const rows = await view.all(DeviationRow, { id: In(ids.map(({ id }) => id)) });
  const byId = new Map(rows.map((row) => [row.id, row]));
  return ids.flatMap(({ id }) => byId.get(id) ?? []);
}

async function withActs(view: View, rows: readonly DeviationRow[]): Promise<KnownDeviation[]> {
  const acts = await view.all(
    DeviationActRow,
    { deviationId: In(rows.map(({ id }) => id)) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  const byDeviation = new Map<string, DeviationActRow[]>();
  for (const act of acts) byDeviation.set(act.deviationId, [...(byDeviation.get(act.deviationId) ?? []), act]);
  return rows.map((row) => {
    const own = byDeviation.get(row.id) ?? [];
    const standing = deviationStanding(row, own as DeviationAct[]);
    const due = dueItems(standing).sort((a, b) => (a.due < b.due ? -1 : 1));
    return { row, acts: own, standing, due };
  });
}
