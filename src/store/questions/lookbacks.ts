import { In } from 'typeorm';
import { type LookbackAnswer, standingAnswer, type Touched } from '../../core/lookback/lookback.js';
import type { Instant } from '../../core/time/instant.js';
import { pathBack, pathWords } from '../../core/trace/trace.js';
import { LookbackAnswerRow, LookbackCloseRow, LookbackRow, RecallLotRow } from '../rows/lookback.entity.js';
import type { View } from '../view.js';
import { runIdsCoveredByFailure } from './covered.js';
import { tracedLots } from './trace/lots.js';
import { grouped } from './grouped.js';
import { asked, type Head, placesAfter, reachOf, usesOf } from './trace/reach.js';
import { subjectsInRuns, type TracedSubject, usesIn } from './trace/runs.js';

/** The lots at which a recall begins. */
export async function recalledShipments(view: View, recallId: string): Promise<string[]> {
  const lots = await view.all(RecallLotRow, { recallId, part: 'shipment' });
  return lots.map(({ lotId }) => lotId);
}

/**
 * The beginning of a query over `touched (run_id, subject_id)`: the patients' specimens and slides that a lookback asks
 * about, by the facts as they stand; in some runs only when these are given.
 */
async function touchedBy(view: View, { cause, causeId }: LookbackRow, runIds?: readonly string[]): Promise<Head> {
  if (cause === 'lot recalled') return usesOf(await reachOf(view, await recalledShipments(view, causeId)), runIds);
  const runs = cause === 'control failed' ? await runIdsCoveredByFailure(view, causeId) : [causeId];
  const wanted = runIds ? runs.filter((id) => runIds.includes(id)) : runs;
  return {
    head: `WITH touched AS (SELECT DISTINCT run_id, subject_id FROM run_subject
      WHERE laboratory_id = $1 AND role = 'patient' AND run_id IN (${placesAfter(1, wanted.length)}))`,
    parameters: [view.laboratoryId, ...wanted],
  };
}

/** A lookback with how much of it is answered. */
export interface KnownLookback {
  row: LookbackRow;
  close: LookbackCloseRow | null;
  touched: number;
  answered: number;
}

/** A lookback and how far it is; refuses when there is none of that id. */
export async function knownLookback(view: View, id: string): Promise<KnownLookback> {
  const row = await view.need(LookbackRow, { id }, `lookback ${id}`);
  const close = await view.one(LookbackCloseRow, { lookbackId: id });
  return { row, close, ...(await progressOf(view, row)) };
}

/** Lookbacks, newest first, at most `take`, before the lookback `after` in that order: those still open, or closed ones. */
export async function knownLookbacks(
  view: View,
  { open, take, after }: { open: boolean; take: number; after?: string | undefined },
): Promise<KnownLookback[]> {
  const rows = await asked<{ id: string }>(
    view,
    `SELECT id FROM lookback known WHERE laboratory_id = $1 AND ${open ? `NOT ${CLOSED}` : CLOSED}
      ${after === undefined ? '' : 'AND id < $2'} ORDER BY id DESC LIMIT $${after === undefined ? 2 : 3}`,
    [view.laboratoryId, ...(after === undefined ? [] : [after]), take],
  );
  return Promise.all(rows.map(({ id }) => knownLookback(view, id)));
}

const CLOSED = `EXISTS (SELECT 1 FROM lookback_close WHERE lookback_close.lookback_id = known.id)`;

async function progressOf(view: View, row: LookbackRow): Promise<{ touched: number; answered: number }> {
  const { head, parameters } = await touchedBy(view, row);
  const [found] = await asked<{ touched: number | string; answered: number | string }>(
    view,
    `${head} SELECT COUNT(*) AS touched, (SELECT COUNT(*) FROM touched known WHERE ${ANSWERED(parameters.length + 1)}) AS answered
      FROM touched`,
    [...parameters, row.id],
  );
  return { touched: Number(found?.touched ?? 0), answered: Number(found?.answered ?? 0) };
}

const ANSWERED = (place: number): string => `EXISTS (SELECT 1 FROM lookback_answer answer
  WHERE answer.lookback_id = $${place} AND answer.run_id = known.run_id AND answer.subject_id = known.subject_id)`;

/** One patient's specimen or slide in one run that a lookback touches, with why and what was decided. */
export interface LookbackItem extends Touched {
  title: string;
  station: string;
  startedAt: Instant;
  subject: TracedSubject;
  why: string;
  answer: LookbackAnswerRow | null;
}

/** What a lookback touches, oldest run first, at most `take`, after the run and subject `after` in that order. */
export async function lookbackItems(
  view: View,
  row: LookbackRow,
  { take, after, waiting }: { take: number; after?: string | undefined; waiting: boolean },
): Promise<LookbackItem[]> {
  const { head, parameters } = await touchedBy(view, row);
  const [run = '', subject = ''] = after?.split(':') ?? [];
  const n = parameters.length;
  const touched = await asked<Touched>(
    view,
    `${head} SELECT run_id AS "runId", subject_id AS "subjectId" FROM touched known
      WHERE (run_id > $${n + 1} OR (run_id = $${n + 1} AND subject_id > $${n + 2}))
        ${waiting ? `AND NOT ${ANSWERED(n + 3)}` : ''}
      ORDER BY run_id, subject_id LIMIT $${n + (waiting ? 4 : 3)}`,
    [...parameters, run, subject, ...(waiting ? [row.id] : []), take],
  );
  return itemsOf(view, row, touched);
}

async function itemsOf(view: View, row: LookbackRow, touched: readonly Touched[]): Promise<LookbackItem[]> {
  const runIds = [...new Set(touched.map(({ runId }) => runId))];
  const runs = await asked<{ id: string; title: string; station: string; startedAt: Instant }>(
    view,
    `SELECT run.id, revision.title, run.station, run.started_at AS "startedAt" FROM run
      JOIN revision ON revision.id = run.revision_id
      WHERE run.laboratory_id = $1 AND run.id IN (${placesAfter(1, runIds.length)})`,
    [view.laboratoryId, ...runIds],
  );
  const subjects = await subjectsInRuns(view, runIds);
  const answers = await view.all(LookbackAnswerRow, { lookbackId: row.id, runId: In(runIds) });
  const why = await reasons(view, row, runIds);
  return touched.flatMap((each) => {
    const run = runs.find(({ id }) => id === each.runId);
    const subject = subjects.get(each.runId)?.find(({ id }) => id === each.subjectId);
    if (!run || !subject) return [];
    const { title, station, startedAt } = run;
    const answer = standingAnswer<LookbackAnswer & LookbackAnswerRow>(each, answers);
    return [{ ...each, title, station, startedAt, subject, why: why.get(each.runId) ?? row.reason, answer }];
  });
}

/** Why each run is touched, in words; for a recall the way from its tray to the recalled lot. */
async function reasons(view: View, row: LookbackRow, runIds: readonly string[]): Promise<Map<string, string>> {
  if (row.cause !== 'lot recalled') return new Map();
  const reach = await reachOf(view, await recalledShipments(view, row.causeId));
  const lots = await tracedLots(view, reach);
  const uses = await usesIn(view, reach, runIds);
  return new Map(
    [...uses].map(([runId, containers]) => [
      runId,
      containers
        .map((id) => pathWords(lots, pathBack(lots, reach.roots, id) ?? [{ containerId: id, lotId: '' }]))
        .join('; '),
    ]),
  );
}

/** What a lookback touches in some runs. */
export async function touchedIn(view: View, row: LookbackRow, runIds: readonly string[]): Promise<Touched[]> {
  const { head, parameters } = await touchedBy(view, row, runIds);
  return asked<Touched>(view, `${head} SELECT run_id AS "runId", subject_id AS "subjectId" FROM touched`, parameters);
}

/** What a lookback says of a specimen or slide in a run: its answer, or that it is in question. */
export interface Question extends Touched {
  lookbackId: string;
  cause: LookbackRow['cause'];
  reason: string;
  openedAt: Instant;
  outcome: LookbackAnswerRow['outcome'] | null;
}

/** What lookbacks say of what was stained in these runs, by run and subject as 'run subject'. */
export async function questionsOn(view: View, runIds: readonly string[]): Promise<Map<string, Question[]>> {
  if (runIds.length === 0) return new Map();
  const answers = await view.all(LookbackAnswerRow, { runId: In([...runIds]) });
  const open = await asked<{ id: string }>(
    view,
    `SELECT id FROM lookback known WHERE laboratory_id = $1 AND NOT ${CLOSED}`,
    [view.laboratoryId],
  );
  const openIds = open.map(({ id }) => id);
  const ids = [...new Set([...openIds, ...answers.map(({ lookbackId }) => lookbackId)])];
  const questions: Question[] = [];
  for (const row of await view.all(LookbackRow, { id: In(ids) })) {
    const { id: lookbackId, cause, reason, at: openedAt } = row;
    const own = answers.filter((answer) => answer.lookbackId === lookbackId);
    // What is closed was answered for all that it touched.
    const touched = openIds.includes(lookbackId) ? await touchedIn(view, row, runIds) : onceEach(own);
    for (const { runId, subjectId } of touched) {
      const outcome = standingAnswer({ runId, subjectId }, own)?.outcome ?? null;
      questions.push({ runId, subjectId, lookbackId, cause, reason, openedAt, outcome });
    }
  }
  return grouped(
    questions,
    ({ runId, subjectId }) => `${runId} ${subjectId}`,
    (question) => question,
  );
}

function onceEach(touched: readonly Touched[]): Touched[] {
  return [...new Map(touched.map((each) => [`${each.runId} ${each.subjectId}`, each])).values()];
}
