import { In } from 'typeorm';
import type { Finding } from '../../core/gate/finding.js';
import type { RunFacts } from '../../core/gate/facts.js';
import { judge, type Judgement, needJudgement } from '../../core/gate/judge.js';
import type { Verdict } from '../../core/run/events.js';
import type { ReviewScope } from '../../core/people/review.js';
import { askedByLookback, withoutLookbacks, worseThan } from '../../core/second-look/second-look.js';
import { ReleaseRow, RunRow } from '../rows/runs.entity.js';
import { ReleaseAnswerRow, ReleaseQuestionRow, ReleaseUpheldRow, SecondLookRow } from '../rows/second-looks.entity.js';
import type { View } from '../view.js';
import { ALL } from './ask/topic.js';
import { lastSeq } from './entries.js';
import { factsOfRuns } from './facts-of-runs.js';
import { namesOf } from './recalls.js';
import { rowsOf, type Sql, sql } from './sql.js';
import { asksWithin, runsWithin } from './review/within.js';
import { loadRuns } from './runs.js';
import { grouped } from './grouped.js';
import { asked, placesAfter } from './trace/reach.js';

/** What the gate says of a release when it is asked again. */
export interface LookedAgain {
  verdict: Verdict;
  judgedTo: number;
  rules: string;
  /** What speaks against it that was neither there when it was released nor gone over since. */
  worse: Finding[];
}

/** Asks the gate about runs as the record stood; each run and record number once, however many releases it has. */
export class Asking {
  private readonly kept = new Map<string, { facts: RunFacts; judgement: Judgement | null }>();

  constructor(private readonly view: View) {}

  /** Reads the facts of several runs together, since much of them is shared. */
  async gather(runIds: readonly string[], upTo: number): Promise<void> {
    const loaded = await loadRuns(this.view, [...new Set(runIds)], upTo);
    for (const facts of await factsOfRuns(this.view, loaded, upTo)) {
      this.kept.set(`${facts.runId} ${upTo}`, { facts, judgement: null });
    }
  }

  /**
   * What the gate says of a release by all facts up to `judgedTo`, beside what it said then. A release that other rules
   * judged is compared with what today's rules make of the facts of then, so that a new rule alone worsens nothing.
   * `before` is the record number before the act that asks.
   */
  async again(
    release: ReleaseRow,
    upheld: readonly ReleaseUpheldRow[],
    { judgedTo, before }: { judgedTo: number; before: number },
  ): Promise<LookedAgain> {
    const { verdict, findings, rules } = await this.point(release, judgedTo);
    const then = release.rules === rules ? [] : (await this.point(release, release.judgedTo)).findings;
    const known = [...release.findings, ...then, ...upheld.flatMap((each) => each.findings)];
    const worse = worseThan(findings, known);
    const own = askedByLookback(worse) ? withoutLookbacks(worse, (await this.point(release, before)).findings) : worse;
    return { verdict, judgedTo, rules, worse: own };
  }

  private async point({ runId, subjectId, point }: ReleaseRow, upTo: number) {
    const name = `${runId} ${upTo}`;
    if (!this.kept.has(name)) await this.gather([runId], upTo);
    const kept = this.kept.get(name);
    if (!kept) throw new Error(`there is no run ${runId}`);
    kept.judgement ??= judge(kept.facts);
    const { judgement, facts } = kept;
    return { ...needJudgement(judgement, facts.protocol, subjectId, point), rules: judgement.rules };
  }
}

/** A question on a release that the gate has not answered. */
export interface Unanswered {
  id: string;
  releaseId: string;
}

/** Questions of a second look that the gate has not answered, in the order of their ids, after the question `after`. */
export async function unansweredOf(view: View, lookId: string, take: number, after = ''): Promise<Unanswered[]> {
  return asked(
    view,
    `SELECT question.id, question.release_id AS "releaseId" FROM release_question question
      WHERE question.laboratory_id = $1 AND question.look_id = $2 AND question.id > $3
        AND NOT EXISTS (SELECT 1 FROM release_answer answer WHERE answer.question_id = question.id)
      ORDER BY question.id LIMIT $4`,
    [view.laboratoryId, lookId, after, take],
  );
}

/** What the gate says to a question on a release. */
export interface Answer extends LookedAgain {
  questionId: string;
  release: ReleaseRow;
  /** Who must know by name if it worsened, by id: who signed it and who did the run. */
  concerned: ReadonlyMap<string, string>;
}

/** What the gate says now to questions of a second look. */
export async function answersTo(view: View, look: SecondLookRow, questions: readonly Unanswered[]): Promise<Answer[]> {
  const judgedTo = await lastSeq(view);
  const releaseIds = questions.map(({ releaseId }) => releaseId);
  const releases = new Map((await view.all(ReleaseRow, { id: In(releaseIds) })).map((row) => [row.id, row]));
  const runIds = [...new Set([...releases.values()].map(({ runId }) => runId))];
  const runBy = new Map((await view.all(RunRow, { id: In(runIds) })).map(({ id, personId }) => [id, personId]));
  const upheld = await upheldOf(view, releaseIds);
  const asking = new Asking(view);
  await asking.gather(runIds, judgedTo);
  const answers: Answer[] = [];
  for (const { id: questionId, releaseId } of questions) {
    const release = releases.get(releaseId);
    if (!release) throw new Error(`there is no release ${releaseId}`);
    const said = await asking.again(release, upheld.get(releaseId) ?? [], { judgedTo, before: look.seq - 1 });
    const { signature, exception, runId } = release;
    const ids = [signature.personId, ...(exception ? [exception.second.personId] : []), runBy.get(runId) ?? ''];
    const concerned = said.worse.length > 0 ? await namesOf(view, ids) : new Map<string, string>();
    answers.push({ ...said, questionId, release, concerned });
  }
  return answers;
}

/** Signed words that releases stand, by release, the earliest first. */
export async function upheldOf(view: View, releaseIds: readonly string[]): Promise<Map<string, ReleaseUpheldRow[]>> {
  const rows = await view.all(ReleaseUpheldRow, { releaseId: In([...releaseIds]) }, { order: { seq: 'ASC' } });
  return grouped(
    rows,
    ({ releaseId }) => releaseId,
    (row) => row,
  );
}

/** A question on a release with the second look that asks and the answer, once there is one. */
export interface KnownQuestion {
  question: ReleaseQuestionRow;
  look: SecondLookRow;
  answer: ReleaseAnswerRow | null;
}

/** The questions on releases, by release, the latest first. */
export async function lookQuestionsOn(
  view: View,
  releaseIds: readonly string[],
): Promise<Map<string, KnownQuestion[]>> {
  if (releaseIds.length === 0) return new Map();
  const questions = await view.all(
    ReleaseQuestionRow,
    { releaseId: In([...releaseIds]) },
    { order: { seq: 'DESC', id: 'DESC' } },
  );
  if (questions.length === 0) return new Map();
  const looks = await view.all(SecondLookRow, { id: In([...new Set(questions.map(({ lookId }) => lookId))]) });
  const answers = await view.all(ReleaseAnswerRow, { questionId: In(questions.map(({ id }) => id)) });
  const lookOf = new Map(looks.map((look) => [look.id, look]));
  const answerTo = new Map(answers.map((answer) => [answer.questionId, answer]));
  return grouped(
    questions.flatMap((question): KnownQuestion[] => {
      const look = lookOf.get(question.lookId);
      return look ? [{ question, look, answer: answerTo.get(question.id) ?? null }] : [];
    }),
    ({ question }) => question.releaseId,
    (known) => known,
  );
}

/** A second look with how far its job is. */
export interface KnownLook {
  row: SecondLookRow;
  answered: number;
  worsened: number;
}

/** Which part of a list is asked for: at most `take` of those before `after`, and of a reviewer's scope alone. */
export interface LookPage {
  take: number;
  after?: string | undefined;
  scope?: ReviewScope | undefined;
}

/** Second looks, the latest first; of a scope those that ask of a release within it. */
export async function knownLooks(view: View, { take, after, scope }: LookPage): Promise<KnownLook[]> {
  const ids = await rowsOf<{ id: string }>(
    view,
    sql`SELECT look.id FROM second_look look WHERE look.laboratory_id = ${view.laboratoryId}
        AND ${after === undefined ? ALL : sql`look.id < ${after}`} AND ${scope ? asksWithin(view.laboratoryId, scope) : ALL}
      ORDER BY look.id DESC LIMIT ${take}`,
  );
  return looksOf(
    view,
    ids.map(({ id }) => id),
  );
}

/** One second look; refuses when there is none of that id. */
export async function knownLook(view: View, id: string): Promise<KnownLook> {
  await view.need(SecondLookRow, { id }, `second look ${id}`);
  const [found] = await looksOf(view, [id]);
  if (!found) throw new Error(`the second look ${id} was found and then was not`);
  return found;
}

async function looksOf(view: View, ids: readonly string[]): Promise<KnownLook[]> {
  if (ids.length === 0) return [];
  const rows = await view.all(SecondLookRow, { id: In([...ids]) }, { order: { id: 'DESC' } });
  const counts = await asked<{ lookId: string; outcome: string; count: number | string }>(
    view,
    `SELECT look_id AS "lookId", outcome, COUNT(*) AS count FROM release_answer
      WHERE laboratory_id = $1 AND look_id IN (${placesAfter(1, ids.length)}) GROUP BY look_id, outcome`,
    [view.laboratoryId, ...ids],
  );
  return rows.map((row) => {
    const own = counts.filter(({ lookId }) => lookId === row.id);
    const sum = (some: typeof own): number => some.reduce((total, { count }) => total + Number(count), 0);
    return { row, answered: sum(own), worsened: sum(own.filter(({ outcome }) => outcome === 'worsened')) };
  });
}

/** Which releases a list of second looks shows. */
export type LookList = 'in question' | 'looked at again' | 'closed';

const OVER = `(EXISTS (SELECT 1 FROM release_withdrawal gone WHERE gone.release_id = release.id)
  OR EXISTS (SELECT 1 FROM release later WHERE later.run_id = release.run_id AND later.amends = release.id))`;
/** Answered worse, and nobody upheld it since. */
const WORSE = `EXISTS (SELECT 1 FROM release_answer answer WHERE answer.release_id = release.id
  AND answer.laboratory_id = $1 AND answer.outcome = 'worsened' AND NOT EXISTS (SELECT 1 FROM release_upheld upheld
    WHERE upheld.release_id = release.id AND upheld.seq > answer.seq))`;
const UNANSWERED = `EXISTS (SELECT 1 FROM release_question question WHERE question.release_id = release.id
  AND NOT EXISTS (SELECT 1 FROM release_answer answer WHERE answer.question_id = question.id)
  AND NOT EXISTS (SELECT 1 FROM release_upheld upheld WHERE upheld.release_id = release.id AND upheld.seq > question.seq))`;

const LISTED: Record<LookList, { among: string; where: string }> = {
  'in question': {
    among: `SELECT release_id FROM release_answer WHERE laboratory_id = $1 AND outcome = 'worsened'`,
    where: `NOT ${OVER} AND ${WORSE}`,
  },
  'looked at again': {
    among: `SELECT release_id FROM release_question asking WHERE laboratory_id = $1
      AND NOT EXISTS (SELECT 1 FROM release_answer known WHERE known.question_id = asking.id)`,
    where: `NOT ${OVER} AND ${UNANSWERED} AND NOT ${WORSE}`,
  },
  closed: {
    among: `SELECT release_id FROM release_answer WHERE laboratory_id = $1 AND outcome = 'worsened'
      UNION SELECT release_id FROM release_upheld WHERE laboratory_id = $1`,
    where: `(${OVER} OR NOT (${WORSE} OR ${UNANSWERED}))`,
  },
};

/** Ids of the releases that a list shows, the latest first; of a scope those of its runs. */
export async function listedReleases(view: View, list: LookList, { take, after, scope }: LookPage): Promise<string[]> {
  const { among, where } = LISTED[list];
  const listed: Sql = { chunks: [`release.id IN (${among}) AND ${where}`], values: [] };
  // The laboratory stands first, as $1, which the texts of the lists name.
  const rows = await rowsOf<{ id: string }>(
    view,
    sql`SELECT release.id FROM release WHERE release.laboratory_id = ${view.laboratoryId} AND ${listed}
        AND ${after === undefined ? ALL : sql`release.id < ${after}`}
        AND ${scope ? sql`release.run_id IN (SELECT run.id FROM ${runsWithin(view.laboratoryId, scope)})` : ALL}
      ORDER BY release.id DESC LIMIT ${take}`,
  );
  return rows.map(({ id }) => id);
}
