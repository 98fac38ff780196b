import { judge } from '../../core/gate/judge.js';
import { type Left, standings, type StoodSubject } from '../../core/release/standing.js';
import type { View } from '../view.js';
import { lastSeq } from './entries.js';
import { factsOfRuns } from './facts-of-runs.js';
import { grouped } from './grouped.js';
import { list, rowsOf, sql } from './sql.js';
import { loadRuns } from './runs.js';

/** By run, where each of its specimens and slides stands at each release point now; what runs share is read once. */
export async function runStandings(view: View, runIds: readonly string[]): Promise<Map<string, StoodSubject[]>> {
  if (runIds.length === 0) return new Map();
  const judgedTo = await lastSeq(view);
  const facts = await factsOfRuns(view, await loadRuns(view, runIds, judgedTo), judgedTo);
  // What was said and signed of a release is long, and no standing asks for it.
  const left = grouped(
    await rowsOf<Left & { runId: string }>(
      view,
      sql`SELECT run_id AS "runId", subject_id AS "subjectId", point AS "point" FROM release
        WHERE laboratory_id = ${view.laboratoryId} AND run_id IN ${list(runIds)}`,
    ),
    ({ runId }) => runId,
    (release) => release,
  );
  return new Map(facts.map((each) => [each.runId, standings(judge(each), left.get(each.runId) ?? [])]));
}
