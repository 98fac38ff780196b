import { bearsOn } from '../../core/second-look/bears.js';
import type { RunEvent } from '../../core/run/events.js';
import type { LoadedRun } from '../questions/loaded-run.js';
import { ReleaseWithdrawalRow } from '../rows/releases.entity.js';
import { ReleaseRow } from '../rows/runs.entity.js';
import type { Unit } from '../unit.js';
import { questionReleases } from './question-releases.js';
import type { ChangedLoad } from './use-baths.js';

/** Opens a second look on what was released of a run before an event that bears on it was recorded. */
export async function lookAgainAtRun(unit: Unit, { run, revision, events }: LoadedRun, event: RunEvent): Promise<void> {
  const out = await unit.recallLive(`let out of ${run.id}`, [ReleaseRow, ReleaseWithdrawalRow], () =>
    stillOut(unit, run.id),
  );
  const releases = out
    .filter(({ subjectId, point, signature: { at } }) =>
      bearsOn(event, events, revision.content, { subjectId, point, at }),
    )
    .map(({ id }) => id);
  if (releases.length === 0) return;
  const reason = event.kind === 'corrected' ? event.data.reason : 'It was recorded after the release.';
  await questionReleases(
    unit,
    { cause: 'run corrected', causeId: run.id, reason, path: `/release/${run.id}` },
    { releases },
  );
}

async function stillOut(unit: Unit, runId: string): Promise<ReleaseRow[]> {
  const all = await unit.all(ReleaseRow, { runId });
  const out: ReleaseRow[] = [];
  for (const release of all) {
    if (all.some(({ amends }) => amends === release.id)) continue;
    if (!(await unit.one(ReleaseWithdrawalRow, { releaseId: release.id }))) out.push(release);
  }
  return out;
}

/** Opens a second look on what went through a bath after slides that were told or corrected afterwards. */
export async function lookAgainAtBaths(unit: Unit, runId: string, changed: readonly ChangedLoad[]): Promise<void> {
  const [since] = changed.map(({ at }) => at).sort();
  if (since === undefined) return;
  const containers = [...new Set(changed.map(({ containerId }) => containerId))];
  await questionReleases(
    unit,
    {
      cause: 'bath load corrected',
      causeId: runId,
      reason: 'Slides of another run had gone through the same bath before, and that was recorded afterwards.',
      path: `/release/${runId}`,
    },
    { containers, since, butRun: runId },
  );
}
