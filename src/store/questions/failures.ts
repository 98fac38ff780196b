import { In, LessThanOrEqual } from 'typeorm';
import { type ControlResult, wholePasses } from '../../core/controls/result.js';
import { lotsUsed } from '../../core/gate/controls.js';
import { type FailureFacts, type PassFacts, stainedWith } from '../../core/controls/covered.js';
import { type LookbackOutcome, standingAnswer } from '../../core/lookback/lookback.js';
import { runState, trayContainers } from '../../core/run/state.js';
import type { Instant } from '../../core/time/instant.js';
import { FailureActRow } from '../rows/control-results.entity.js';
import { LookbackAnswerRow, LookbackRow } from '../rows/lookback.entity.js';
import type { RunRow } from '../rows/runs.entity.js';
import type { View } from '../view.js';
import { ALL_KNOWN, containerFacts } from './containers.js';
import { controlResult, controlResults } from './control-results.js';
import type { LoadedRun } from './loaded-run.js';

type Lots = Record<string, string>;

/** The lots on a run's tray by reagent code. */
export async function lotsOf(view: View, { revision, events }: LoadedRun, upToSeq: number): Promise<Lots> {
  const containers = await containerFacts(view, trayContainers(events), upToSeq);
  return lotsUsed({ containers }, runState(revision.content, events));
}

/**
 * The nearest passing result with these lots before or after an instant; null when there is none. A control that passed by
 * one reading and failed by another in the same run did not pass.
 */
async function nearestPass(
  view: View,
  { protocolId, requirement, lots }: { protocolId: string; requirement: string; lots: Lots },
  { at, side, upToSeq }: { at: Instant; side: 'before' | 'after'; upToSeq: number },
): Promise<ControlResult | null> {
  const [beyond, order] = side === 'before' ? ['<=', 'DESC'] : ['>=', 'ASC'];
  const page = 50;
  for (let skipped = 0; ; skipped += page) {
    const rows = (await (
      await view.ready()
    ).query(
      `SELECT id, run_id AS "runId", lots FROM control_result
        WHERE protocol_id = $1 AND requirement = $2 AND stained_at ${beyond} $3 AND laboratory_id = $4 AND seq <= $5
          AND passed = TRUE ORDER BY stained_at ${order}, id LIMIT ${page} OFFSET ${skipped}`,
      [protocolId, requirement, at, view.laboratoryId, upToSeq],
    )) as { id: string; runId: string | null; lots: string }[];
    for (const { id, runId, lots: used } of rows) {
      if (!stainedWith(lots, JSON.parse(used) as Lots)) continue;
      const alone = runId === null ? await controlResult(view, id, upToSeq) : null;
      const found =
        runId === null ? (alone ? [alone] : []) : await controlResults(view, { runId, requirement, upToSeq });
      const [pass] = wholePasses(found);
      if (pass) return pass;
    }
    if (rows.length < page) return null;
  }
}

/** Results that did not pass, corrections applied, the newest first, and after which id the next page begins. */
export async function failedResults(
  view: View,
  { take, after }: { take: number; after?: string | undefined },
): Promise<{ results: ControlResult[]; next: string | null }> {
  const condition = after === undefined ? '' : 'AND id < $2';
  const rows = await failedReadings(
    view,
    `${condition} ORDER BY id DESC LIMIT ${take}`,
    after === undefined ? [] : [after],
  );
  return {
    results: await standingFailures(view, rows, ALL_KNOWN),
    next: rows.length < take ? null : (rows.at(-1) ?? null),
  };
}

/** Ids of readings that did not pass. */
async function failedReadings(view: View, which: string, values: readonly (string | number)[]): Promise<string[]> {
  const rows = (await (
    await view.ready()
  ).query(`SELECT id FROM control_result WHERE laboratory_id = $1 AND passed = FALSE ${which}`, [
    view.laboratoryId,
    ...values,
  ])) as { id: string }[];
  return rows.map(({ id }) => id);
}

/** The results that these readings belong to, each once, where they still stand as failed. */
async function standingFailures(view: View, readingIds: readonly string[], upToSeq: number): Promise<ControlResult[]> {
  const found = new Map<string, ControlResult>();
  for (const id of readingIds) {
    const result = await controlResult(view, id, upToSeq);
    if (result && !result.passed) found.set(result.id, result);
  }
  return [...found.values()];
}

/** The control requirements of a protocol of which a reading ever failed. */
export async function failedRequirements(view: View, protocolId: string, upToSeq: number): Promise<string[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT DISTINCT requirement FROM control_result
      WHERE laboratory_id = $1 AND protocol_id = $2 AND passed = FALSE AND seq <= $3`,
    [view.laboratoryId, protocolId, upToSeq],
  )) as { requirement: string }[];
  return rows.map(({ requirement }) => requirement);
}

/**
 * What the gate looks at of failed controls: those of these requirements that may speak against a run, and the passes
 * around it.
 */
export async function controlFailures(
  view: View,
  loaded: LoadedRun,
  requirements: readonly string[],
  upToSeq: number,
): Promise<{ failures: FailureFacts[]; passes: PassFacts[] }> {
  const { run, revision } = loaded;
  const { protocolId } = revision;
  const facts: { failures: FailureFacts[]; passes: PassFacts[] } = { failures: [], passes: [] };
  if (requirements.length === 0) return facts;
  const lots = await lotsOf(view, loaded, upToSeq);
  for (const requirement of requirements) {
    const like = { protocolId, requirement, lots };
    const before = await nearestPass(view, like, { at: run.startedAt, side: 'before', upToSeq });
    const after = await nearestPass(view, like, { at: run.startedAt, side: 'after', upToSeq });
    for (const pass of [before, after]) {
      if (pass) facts.passes.push({ requirement, stainedAt: pass.stainedAt, lots: pass.lots });
    }
    const readings = await failedReadings(
      view,
      `AND protocol_id = $2 AND requirement = $3 AND seq <= $4 AND (revision_id IS NULL OR revision_id = $5)
        AND ((stained_at > $6 AND stained_at < $7) OR run_id = $8) ORDER BY seq`,
      [
        protocolId,
        requirement,
        upToSeq,
        revision.id,
        before?.stainedAt ?? '',
        after?.stainedAt ?? LAST_INSTANT,
        run.id,
      ],
    );
    for (const failure of await standingFailures(view, readings, upToSeq))
      facts.failures.push(await failureFacts(view, failure, run, upToSeq));
  }
  return facts;
}

/** Later than any instant, as text. */
export const LAST_INSTANT = '9999-12-31T23:59:59.999Z';

async function failureFacts(view: View, result: ControlResult, run: RunRow, upToSeq: number): Promise<FailureFacts> {
  const { id: resultId, requirement, runId, subjectId, at, stainedAt, observed, lots } = result;
  const seq = LessThanOrEqual(upToSeq);
  const close = await view.one(FailureActRow, { resultId, kind: 'closed', seq });
  const lookback = await view.one(LookbackRow, { cause: 'control failed', causeId: resultId, seq });
  const answers = lookback ? await view.all(LookbackAnswerRow, { lookbackId: lookback.id, runId: run.id, seq }) : [];
  const decided = [...new Set(answers.map((each) => each.subjectId))].flatMap((subject) => {
    const outcome = standingAnswer({ runId: run.id, subjectId: subject }, answers)?.outcome;
    return outcome ? [{ subjectId: subject, outcome }] : [];
  });
  const meant: LookbackOutcome = close?.ended === 'withdrawn' ? 'withdrawn' : 'cannot be repeated';
  for (const each of close?.cases ?? []) {
    const known = decided.some((other) => other.subjectId === each.subjectId);
    if (each.runId === run.id && !known) decided.push({ subjectId: each.subjectId, outcome: meant });
  }
  return { resultId, requirement, runId, subjectId, at, stainedAt, observed, lots, closed: close !== null, decided };
}

/** How far a failed control reaches: the last passing one before it and the first one after it, with its lots. */
export async function reachOf(
  view: View,
  failure: ControlResult,
  upToSeq: number = ALL_KNOWN,
): Promise<{ before: ControlResult | null; after: ControlResult | null }> {
  const like = { protocolId: failure.protocolId, requirement: failure.requirement, lots: failure.lots };
  const at = failure.stainedAt;
  return {
    before: await nearestPass(view, like, { at, side: 'before', upToSeq }),
    after: await nearestPass(view, like, { at, side: 'after', upToSeq }),
  };
}

/** What was done about failures, oldest first. */
export function failureActs(view: View, resultIds: readonly string[]): Promise<FailureActRow[]> {
  return view.all(FailureActRow, { resultId: In([...resultIds]) }, { order: { seq: 'ASC' } });
}
