import { MoreThanOrEqual } from 'typeorm';
import { type Bench, goingRun, type WantedRun } from '../../core/plan/from-bench.js';
import { startedOf } from '../../core/plan/bench-plan.js';
import type { Instant } from '../../core/time/instant.js';
import { PersonRow } from '../rows/people.entity.js';
import { type AskedRun, BenchPlanRow } from '../rows/plans.entity.js';
import { RunRow } from '../rows/runs.entity.js';
import type { View } from '../view.js';
import { revisionOf } from './revisions.js';
import { benchRunIds, loadRun } from './runs.js';

/** The bench as it stands, with what is asked of it, for an instant before which nothing new starts. */
export async function benchFor(
  view: View,
  { wanted, hands, places }: { wanted: readonly AskedRun[] } & Pick<Bench, 'hands' | 'places'>,
  at: Instant,
): Promise<Bench> {
  const runs: WantedRun[] = [];
  for (const { revisionId, slides: _slides, ...limits } of wanted) {
    runs.push({ ...limits, protocol: (await revisionOf(view, revisionId)).content });
  }
  const going: Bench['going'] = [];
  for (const id of await benchRunIds(view)) {
    const { revision, events } = await loadRun(view, id);
    const run = goingRun(id, revision.content, events);
    if (run) going.push(run);
  }
  return { at, wanted: runs, going, hands, places };
}

/** The plan accepted last, by whom, and the runs started since that do its planned ones; null when there is none. */
export async function currentPlan(
  view: View,
): Promise<{ row: BenchPlanRow; person: string; started: Map<string, string> } | null> {
  const [row] = await view.all(BenchPlanRow, {}, { order: { seq: 'DESC' }, take: 1 });
  if (!row) return null;
  const { name } = await view.need(PersonRow, { id: row.personId }, `person ${row.personId}`);
  const planned = row.wanted.map(({ id, revisionId }) => ({
    id,
    revisionId,
    startsAt: row.runs.find((run) => run.id === id)?.startsAt ?? row.at,
  }));
  const runs = await view.all(RunRow, { startedAt: MoreThanOrEqual(row.at) });
  return { row, person: name, started: startedOf(planned, runs) };
}
