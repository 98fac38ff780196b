import { In } from 'typeorm';
import { marksOf, releaseStanding } from '../../core/release/release.js';
import { lookStanding, upheldMark } from '../../core/second-look/second-look.js';
import type { ReleaseDto, ReleaseLookDto, UpheldDto } from '../../contract/releases.dto.js';
import { ReleaseWithdrawalRow } from '../rows/releases.entity.js';
import { ReleaseRow } from '../rows/runs.entity.js';
import type { View } from '../view.js';
import { questionsOn } from './lookbacks.js';
import { gateWords } from './reagents.js';
import { sealedValues } from './sealed.js';
import { type KnownQuestion, lookQuestionsOn, upheldOf } from './second-looks.js';

/** Releases with their words, marks and where they stand; the newest first, those of one run only if it is given. */
export async function releasesOf(view: View, runId: string | undefined, take = 200): Promise<ReleaseDto[]> {
  return shown(
    view,
    await view.all(ReleaseRow, runId === undefined ? {} : { runId }, { order: { seq: 'DESC' }, take }),
  );
}

/** Releases by their ids, in that order. */
export async function releasesById(view: View, ids: readonly string[]): Promise<ReleaseDto[]> {
  const found = await shown(view, await view.all(ReleaseRow, { id: In([...ids]) }));
  return ids.flatMap((id) => found.find((each) => each.id === id) ?? []);
}

async function shown(view: View, rows: readonly ReleaseRow[]): Promise<ReleaseDto[]> {
  const ids = rows.map(({ id }) => id);
  const words = await sealedValues(
    view,
    rows.flatMap(({ wordsId }) => wordsId ?? []),
  );
  const questions = await questionsOn(view, [...new Set(rows.map(({ runId }) => runId))]);
  const withdrawals = await view.all(ReleaseWithdrawalRow, { releaseId: In(ids) });
  const runIds = [...new Set(rows.map((row) => row.runId))];
  const amending = await view.all(ReleaseRow, { runId: In(runIds), amends: In(ids) });
  const looks = await lookQuestionsOn(view, ids);
  const upheld = await upheldOf(view, ids);
  const inWords = await gateWords(view);
  return rows.map((row) => {
    const own = questions.get(`${row.runId} ${row.subjectId}`) ?? [];
    const withdrawal = withdrawals.find(({ releaseId }) => releaseId === row.id);
    const asked = looks.get(row.id) ?? [];
    const stoodBy = upheld.get(row.id) ?? [];
    const amendedBy = amending.find(({ amends }) => amends === row.id)?.id ?? null;
    return {
      ...row,
      words: words.get(row.wordsId ?? '') ?? null,
      amendedBy,
      withdrawal: withdrawal
        ? {
            at: withdrawal.at,
            reason: withdrawal.reason,
            told: withdrawal.told,
            signature: withdrawal.signature,
          }
        : null,
      marks: [
        ...marksOf(row.findings, row),
        ...stoodBy.map(({ findings, reason }) => upheldMark(findings, reason)),
      ].map(inWords),
      standing: releaseStanding({
        withdrawn: withdrawal !== undefined,
        amended: amendedBy !== null,
        questions: own,
        looks: lookStanding(
          asked.map(({ question, answer }) => ({ seq: question.seq, answer })),
          stoodBy.at(-1)?.seq ?? 0,
        ),
      }),
      questions: own.map(({ lookbackId, cause, reason, openedAt, outcome }) => ({
        lookbackId,
        cause,
        reason,
        openedAt,
        outcome,
      })),
      looks: asked.map(lookView),
      upheld: stoodBy.map(({ at, reason, findings, judgedTo, rules, signature, second }): UpheldDto => ({
        at,
        reason,
        findings,
        judgedTo,
        rules,
        signature,
        second,
      })),
    };
  });
}

function lookView({ look, answer }: KnownQuestion): ReleaseLookDto {
  const { id, cause, reason, path, at } = look;
  return {
    lookId: id,
    cause,
    reason,
    path,
    openedAt: at,
    answer: answer && {
      at: answer.at,
      outcome: answer.outcome,
      verdict: answer.verdict,
      judgedTo: answer.judgedTo,
      rules: answer.rules,
      worse: answer.worse,
      told: answer.told,
    },
  };
}
