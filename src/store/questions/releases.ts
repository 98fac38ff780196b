import { In } from 'typeorm';
import { marksOf, releaseStanding } from '../../core/release/release.js';
import type { ReleaseDto } from '../../contract/releases.dto.js';
import { ReleaseWithdrawalRow } from '../rows/releases.entity.js';
import { ReleaseRow } from '../rows/runs.entity.js';
import type { View } from '../view.js';
import { questionsOn } from './lookbacks.js';
import { sealedValues } from './sealed.js';

/** Releases with their words, marks and where they stand; the newest first, those of one run only if it is given. */
export async function releasesOf(view: View, runId: string | undefined, take = 200): Promise<ReleaseDto[]> {
  const rows = await view.all(ReleaseRow, runId === undefined ? {} : { runId }, { order: { seq: 'DESC' }, take });
  const ids = rows.map(({ id }) => id);
  const words = await sealedValues(
    view,
    rows.flatMap(({ wordsId }) => wordsId ?? []),
  );
  const questions = await questionsOn(view, [...new Set(rows.map(({ runId: of }) => of))]);
  const withdrawals = await view.all(ReleaseWithdrawalRow, { releaseId: In(ids) });
  const amending = await view.all(ReleaseRow, { amends: In(ids) });
  return rows.map((row) => {
    const own = questions.get(`${row.runId} ${row.subjectId}`) ?? [];
    const withdrawal = withdrawals.find(({ releaseId }) => releaseId === row.id);
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
      marks: marksOf(row.findings, row),
      standing: releaseStanding({
        withdrawn: withdrawal !== undefined,
        amended: amendedBy !== null,
        questions: own,
      }),
      questions: own.map(({ lookbackId, cause, reason, openedAt, outcome }) => ({
        lookbackId,
        cause,
        reason,
        openedAt,
        outcome,
      })),
    };
  });
}
