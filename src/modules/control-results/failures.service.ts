import { Injectable } from '@nestjs/common';
import type {
  ControlResultDto,
  CoveredRunDto,
  FailureActDto,
  FailureDto,
  FailureListDto,
  FailureQueryDto,
  FailureStoryDto,
  NewFailureActDto,
  NewFailureCloseDto,
} from '../../contract/control-results.dto.js';
import { checkClose, checkRepeat } from '../../core/controls/close-failure.js';
import type { ControlResult } from '../../core/controls/result.js';
import { standingAnswer } from '../../core/lookback/lookback.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import { controlResult, controlResults } from '../../store/questions/control-results.js';
import { runsCoveredByFailure } from '../../store/questions/covered.js';
import { failedResults, failureActs, reachOf } from '../../store/questions/failures.js';
import { namesOf } from '../../store/questions/people.js';
import { ControlResultRow, FailureActRow } from '../../store/rows/control-results.entity.js';
import { LookbackAnswerRow, LookbackRow } from '../../store/rows/lookback.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';
import { resultViews } from './views.js';

/** So many later results are offered as the repeat. */
const MOST_REPEATS = 20;

@Injectable()
export class FailuresService {
  constructor(
    private readonly store: Store,
    private readonly signing: Signing,
  ) {}

  list({ laboratoryId }: Acting, { state = 'all', take = 50, after }: FailureQueryDto): Promise<FailureListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { results, next } = await failedResults(view, { take, after });
      const all = await failures(view, results);
      return {
        items: state === 'open' ? all.filter((each) => each.state === 'open') : all,
        next,
      };
    });
  }

  story({ laboratoryId }: Acting, id: string): Promise<FailureStoryDto> {
    return this.store.read(laboratoryId, (view) => storyOf(view, id));
  }

  async add(acting: Acting, id: string, body: NewFailureActDto, key?: string): Promise<FailureStoryDto> {
    await this.store.change(
      acting,
      `control-failure.${body.kind}`,
      async (unit) => {
        const failed = await needFailure(unit, id);
        const acts = await failureActs(unit, [failed.id]);
        if (acts.some(({ kind }) => kind === 'closed')) {
          throw new Refusal('conflict', 'closed-already', 'This failure is closed already.');
        }
        const { kind, text, repeatId } = body;
        if ((kind === 'repeat') !== (repeatId !== undefined)) {
          const message = 'Name the result that passed as "repeatId" for a repeat, and for nothing else.';
          throw new Refusal('invalid', 'repeat-missing', message, [{ at: 'repeatId', message }]);
        }
        if (repeatId !== undefined) {
          const repeat = await controlResult(unit, repeatId);
          if (!repeat) throw new Refusal('not-found', 'not-found', `There is no result ${repeatId}.`);
          checkRepeat(failed, repeat);
        }
        const { at, personId } = unit;
        await unit.insert(FailureActRow, { resultId: failed.id, kind, at, personId, text, repeatId: repeatId ?? null });
        unit.about('control-result', failed.id, { kind });
      },
      onceOf(key, { id, ...body }),
    );
    return this.story(acting, id);
  }

  async close(acting: Acting, id: string, body: NewFailureCloseDto, key?: string): Promise<FailureStoryDto> {
    const { ended, reason, cases = [], password } = body;
    const signer = await this.signing.confirm(acting, password);
    await this.store.change(
      acting,
      'control-failure.closed',
      async (unit) => {
        const { acts, covers, ...failure } = await storyOf(unit, id);
        const failed = await needFailure(unit, id);
        const named = acts.findLast(({ kind }) => kind === 'repeat')?.repeatId ?? null;
        checkClose(
          {
            failed,
            closed: failure.state !== 'open',
            hasCause: acts.some(({ kind }) => kind === 'cause'),
            hasAction: acts.some(({ kind }) => kind === 'action'),
            repeat: named === null ? null : await controlResult(unit, named),
            unanswered: covers.flatMap(({ runId, subjects }) =>
              subjects.flatMap(({ subjectId, label, outcome }) =>
                outcome === null ? [{ runId, subjectId, label }] : [],
              ),
            ),
          },
          ended,
          cases,
        );
        const record = {
          resultId: failed.id,
          ended,
          text: reason,
          repeatId: ended === 'repeated' ? named : null,
          cases,
        };
        const signature = signatureOf(signer, 'review', record, unit.at);
        await unit.insert(FailureActRow, {
          ...record,
          kind: 'closed',
          at: unit.at,
          personId: unit.personId,
          signature,
        });
        unit.about('control-result', failed.id, { ended });
      },
      onceOf(key, { id, ended, reason, cases }),
    );
    return this.story(acting, id);
  }
}

async function needFailure(view: View, id: string): Promise<ControlResult> {
  await view.need(ControlResultRow, { id }, `result ${id}`);
  const result = await controlResult(view, id);
  if (result && !result.passed) return result;
  throw new Refusal('conflict', 'no-failure', 'This result does not stand as failed: it was withdrawn or settled.');
}

async function failures(view: View, failed: readonly ControlResult[]): Promise<FailureDto[]> {
  const results = await resultViews(view, failed);
  const rows = await failureActs(
    view,
    failed.map(({ id }) => id),
  );
  const names = await namesOf(
    view,
    rows.map(({ personId }) => personId),
  );
  return results.map((result) => {
    const acts = rows.filter(({ resultId }) => resultId === result.id).map((row) => actView(row, names));
    return { id: result.id, result, state: acts.find(({ kind }) => kind === 'closed')?.ended ?? 'open', acts };
  });
}

function actView(row: FailureActRow, names: Record<string, string>): FailureActDto {
  const { id, kind, at, personId, text, repeatId, ended, cases, signature } = row;
  return { id, kind, at, personId, person: names[personId] ?? '', text, repeatId, ended, cases, signature };
}

async function storyOf(view: View, id: string): Promise<FailureStoryDto> {
  const failed = await needFailure(view, id);
  const [failure] = await failures(view, [failed]);
  if (!failure) throw new Error(`the failure ${id} was found and then was not`);
  const lookback = await view.one(LookbackRow, { cause: 'control failed', causeId: failed.id });
  const { before, after } = await reachOf(view, failed);
  const { protocolId, requirement, stainedAt } = failed;
  const later = await controlResults(view, { protocolId, requirement, from: stainedAt });
  const repeats = later.filter((each) => each.passed && each.stainedAt > stainedAt).slice(-MOST_REPEATS);
  return {
    ...failure,
    lookbackId: lookback?.id ?? null,
    lastPassing: await maybe(view, before),
    firstPassing: await maybe(view, after),
    covers: await coveredView(view, failed.id, lookback),
    repeats: await resultViews(view, repeats),
  };
}

async function maybe(view: View, result: ControlResult | null): Promise<ControlResultDto | null> {
  return result ? ((await resultViews(view, [result]))[0] ?? null) : null;
}

async function coveredView(view: View, resultId: string, lookback: LookbackRow | null): Promise<CoveredRunDto[]> {
  const answers = lookback ? await view.all(LookbackAnswerRow, { lookbackId: lookback.id }) : [];
  const runs = await runsCoveredByFailure(view, resultId);
  return runs.map((run) => ({
    ...run,
    subjects: run.subjects.map((subject) => ({
      ...subject,
      outcome: standingAnswer({ runId: run.runId, subjectId: subject.subjectId }, answers)?.outcome ?? null,
    })),
  }));
}
