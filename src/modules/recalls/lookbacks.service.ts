import { Injectable } from '@nestjs/common';
import type {
  LookbackDto,
  LookbackItemListDto,
  LookbackItemsQueryDto,
  LookbackListDto,
  LookbackQueryDto,
  NewLookbackAnswersDto,
  NewLookbackCloseDto,
} from '../../contract/recalls.dto.js';
import { closingFault } from '../../core/lookback/lookback.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import {
  type KnownLookback,
  knownLookback,
  knownLookbacks,
  lookbackItems,
  touchedIn,
} from '../../store/questions/lookbacks.js';
import { LookbackAnswerRow, LookbackCloseRow, LookbackRow } from '../../store/rows/lookback.entity.js';
import { Store } from '../../store/store.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';

@Injectable()
export class LookbacksService {
  constructor(
    private readonly store: Store,
    private readonly signing: Signing,
  ) {}

  async list({ laboratoryId }: Acting, { state = 'open', take, after }: LookbackQueryDto): Promise<LookbackListDto> {
    const found = await this.store.read(laboratoryId, (view) =>
      knownLookbacks(view, { open: state === 'open', take, after }),
    );
    return { items: found.map(lookbackView), next: found.length < take ? null : (found.at(-1)?.row.id ?? null) };
  }

  async view({ laboratoryId }: Acting, id: string): Promise<LookbackDto> {
    return lookbackView(await this.store.read(laboratoryId, (view) => knownLookback(view, id)));
  }

  items(
    { laboratoryId }: Acting,
    id: string,
    { take, after, waiting = false }: LookbackItemsQueryDto,
  ): Promise<LookbackItemListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const row = await view.need(LookbackRow, { id }, `lookback ${id}`);
      const items = await lookbackItems(view, row, { take, after, waiting });
      const last = items.at(-1);
      return {
        items: items.map(({ answer, ...item }) => ({
          ...item,
          answer: answer && {
            outcome: answer.outcome,
            reason: answer.reason,
            at: answer.at,
            personId: answer.personId,
          },
        })),
        next: last && items.length === take ? `${last.runId}:${last.subjectId}` : null,
      };
    });
  }

  async answer(acting: Acting, id: string, body: NewLookbackAnswersDto, key?: string): Promise<LookbackDto> {
    const { items, outcome, reason } = body;
    await this.store.change(
      acting,
      'lookback.answered',
      async (unit) => {
        const { row, close } = await knownLookback(unit, id);
        const touched = await touchedIn(unit, row, [...new Set(items.map(({ runId }) => runId))]);
        const problems = items.flatMap(({ runId, subjectId }, i) =>
          touched.some((each) => each.runId === runId && each.subjectId === subjectId)
            ? []
            : [{ at: `items.${i}`, message: `${subjectId} in run ${runId} is not among what this lookback touches` }],
        );
        if (problems.length > 0) {
          const message = `Nothing was answered: ${problems.length} of ${items.length} are not touched by this lookback; take them from its list.`;
          throw new Refusal('invalid', 'not-touched', message, problems);
        }
        // What turns up after the closing signature is still answered; what was signed for stays as it was.
        if (close) await refuseAnswered(items.map((item) => unit.one(LookbackAnswerRow, { lookbackId: id, ...item })));
        for (const { runId, subjectId } of items) {
          const { at, personId } = unit;
          await unit.insert(LookbackAnswerRow, { lookbackId: id, runId, subjectId, outcome, reason, at, personId });
        }
        unit.about('lookback', id, { outcome, count: items.length });
        return null;
      },
      onceOf(key, { id, ...body }),
    );
    return this.view(acting, id);
  }

  async close(
    acting: Acting,
    id: string,
    { reason, password }: NewLookbackCloseDto,
    key?: string,
  ): Promise<LookbackDto> {
    const signer = await this.signing.confirm(acting, password);
    await this.store.change(
      acting,
      'lookback.closed',
      async (unit) => {
        const { row, close, touched, answered } = await knownLookback(unit, id);
        const fault = closingFault({ touched, answered, closed: close !== null });
        if (fault !== null) throw new Refusal('conflict', close ? 'closed-already' : 'not-answered', fault);
        const { cause, causeId } = row;
        const record = { lookbackId: id, cause, causeId, touched, reason };
        const signature = signatureOf(signer, 'responsibility', record, unit.at);
        await unit.insert(LookbackCloseRow, { lookbackId: id, at: unit.at, reason, signature });
        unit.about('lookback', id, { touched });
        return null;
      },
      onceOf(key, { id, reason }),
    );
    return this.view(acting, id);
  }
}

async function refuseAnswered(asked: readonly Promise<LookbackAnswerRow | null>[]): Promise<void> {
  const answered = (await Promise.all(asked)).filter((each) => each !== null);
  if (answered.length === 0) return;
  throw new Refusal(
    'conflict',
    'closed-already',
    `This lookback was closed by signature over ${answered.length} of these answers; they stand as signed.`,
  );
}

function lookbackView({ row, close, touched, answered }: KnownLookback): LookbackDto {
  const { id, cause, causeId, at, personId, reason } = row;
  const closed = close && { at: close.at, reason: close.reason, signature: close.signature };
  return { id, cause, causeId, at, personId, reason, touched, answered, closed };
}
