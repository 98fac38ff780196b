import { type EntityTarget, type FindOptionsWhere, MoreThan } from 'typeorm';
import { FURNISHED, READINESS, type Readiness, type Seen } from '../../core/guide/tasks.js';
import { CalendarRow, ControlPlanActRow } from '../rows/control-plans.entity.js';
import { PersonRow } from '../rows/people.entity.js';
import { PlaceRow } from '../rows/places.entity.js';
import { RevisionActRow } from '../rows/protocols.entity.js';
import { RecordRow } from '../rows/record.entity.js';
import { LookRow } from '../rows/review.entity.js';
import { RunRow } from '../rows/runs.entity.js';
import { LotActRow } from '../rows/stock.entity.js';
import type { LaboratoryScoped, View } from '../view.js';

/**
 * What a person did and looked at since the invented laboratory was furnished, which was done in their name too. It goes
 * through all entries since, so it is for that laboratory alone.
 */
export async function seenSinceFurnished(view: View, personId: string): Promise<Seen> {
  const { laboratoryId } = view;
  const [furnished] = await view.all(
    RecordRow,
    { subjectKind: 'laboratory', subjectId: laboratoryId, act: FURNISHED },
    { order: { seq: 'DESC' }, take: 1 },
  );
  const since = furnished?.seq ?? 0;
  const acts: { act: string }[] = await (
    await view.ready()
  ).query('SELECT DISTINCT act FROM record_entry WHERE laboratory_id = $1 AND seq > $2 AND person_id = $3', [
    laboratoryId,
    since,
    personId,
  ]);
  const looks = await view.all(LookRow, { personId, seq: MoreThan(since) });
  return {
    acts: new Set(acts.map(({ act }) => act)),
    looked: new Set(looks.map(({ kind }) => kind)),
    ready: new Set(),
  };
}

/** What a laboratory has of what it needs before its first patient. */
export async function readiness(view: View): Promise<Seen> {
  // One person is there from the set-up.
  const people = await view.all(PersonRow, { disabled: false }, { take: 2 });
  const there: Record<Exclude<Readiness, 'people'>, boolean> = {
    places: await isThere(view, PlaceRow),
    protocol: await isThere(view, RevisionActRow, { kind: 'approved' }),
    stock: await isThere(view, LotActRow, { standing: 'accepted' }),
    calendar: await isThere(view, CalendarRow),
    controls: await isThere(view, ControlPlanActRow),
    run: await isThere(view, RunRow),
  };
  const ready = READINESS.filter((each) => (each === 'people' ? people.length > 1 : there[each]));
  return { acts: new Set(), looked: new Set(), ready: new Set(ready) };
}

/** Without counting, since it is asked after each act. */
async function isThere<T extends LaboratoryScoped>(
  view: View,
  row: EntityTarget<T>,
  where: FindOptionsWhere<T> = {},
): Promise<boolean> {
  return (await view.all(row, where, { take: 1 })).length > 0;
}
