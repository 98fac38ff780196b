import { Injectable, type StreamableFile } from '@nestjs/common';
import type { ListDto } from '../../contract/list.dto.js';
import type {
  ConcernedDto,
  NewRecallDto,
  NewToldDto,
  RecallListDto,
  RecallViewDto,
  TracedRunListDto,
} from '../../contract/recalls.dto.js';
import { endsInCheckDigit } from '../../core/gs1/check-digit.js';
import { Refusal } from '../../core/refusal.js';
import { readInstant } from '../../core/time/instant.js';
import { recallLot, type Recalled } from '../../store/acts/recall-lot.js';
import { recalledShipments } from '../../store/questions/lookbacks.js';
import { knownRecalls, namesOf, peopleConcerned, toldOf } from '../../store/questions/recalls.js';
import { reachOf } from '../../store/questions/trace/reach.js';
import { FileRow } from '../../store/rows/files.entity.js';
import { RecallRow, RecallToldRow } from '../../store/rows/lookback.entity.js';
import { PersonRow } from '../../store/rows/people.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { lotTrace, recallView, runPage } from './answers.js';
import { runsCsv } from './runs-csv.js';

@Injectable()
export class RecallsService {
  constructor(private readonly store: Store) {}

  async list({ laboratoryId }: Acting, { take, after }: ListDto): Promise<RecallListDto> {
    const recalls = await this.store.read(laboratoryId, (view) => knownRecalls(view, { take, after }));
    return {
      items: recalls.map(recallView),
      next: recalls.length < take ? null : (recalls.at(-1)?.row.id ?? null),
    };
  }

  view({ laboratoryId }: Acting, id: string): Promise<RecallViewDto> {
    return this.store.read(laboratoryId, async (view) => {
      const recall = await needRecall(view, id);
      return {
        ...recallView(recall),
        trace: await lotTrace(view, recall.shipments),
        people: await peopleToTell(view, id, recall.shipments),
      };
    });
  }

  runs({ laboratoryId }: Acting, id: string, query: ListDto): Promise<TracedRunListDto> {
    return this.store.read(laboratoryId, async (view) => {
      await view.need(RecallRow, { id }, `recall ${id}`);
      return runPage(view, await recalledShipments(view, id), query);
    });
  }

  async csv({ laboratoryId }: Acting, id: string): Promise<StreamableFile> {
    const { number, roots } = await this.store.read(laboratoryId, async (view) => ({
      number: (await view.need(RecallRow, { id }, `recall ${id}`)).number,
      roots: await recalledShipments(view, id),
    }));
    return runsCsv(this.store, laboratoryId, roots, `recall-of-lot-${number}`);
  }

  /** Recalls a lot with all that was made of it, in one act. */
  async recall(acting: Acting, body: NewRecallDto, key?: string): Promise<RecallViewDto> {
    const what = recalledBy(body);
    const { reason, notice, fileId } = body;
    const recallId = await this.store.change(
      acting,
      'lot.recalled',
      async (unit) => {
        if (fileId !== undefined) await unit.need(FileRow, { id: fileId }, `file ${fileId}`);
        const words = { reason, ...(notice !== undefined && { notice }), ...(fileId !== undefined && { fileId }) };
        const { id, number, reagentCode } = await recallLot(unit, what, words);
        unit.about('recall', id, { reagent: reagentCode, number });
        return id;
      },
      onceOf(key, body),
    );
    return this.view(acting, recallId);
  }

  /** Keeps that somebody was told. */
  async told(acting: Acting, id: string, body: NewToldDto, key?: string): Promise<RecallViewDto> {
    const { personId, name, how } = body;
    if ((personId === undefined) === (name === undefined)) {
      const message = 'Say who was told: either personId of somebody with an account, or the name of somebody without.';
      throw new Refusal('invalid', 'who-told', message, [{ at: 'personId', message }]);
    }
    await this.store.change(
      acting,
      'recall.told',
      async (unit) => {
        const recall = await unit.need(RecallRow, { id }, `recall ${id}`);
        const person =
          personId === undefined ? null : await unit.need(PersonRow, { id: personId }, `person ${personId}`);
        const at = body.at === undefined ? unit.at : readInstant(body.at);
        if (at > unit.at || at < recall.at) {
          const message = `They were told between the recall at ${recall.at} and now; give that time.`;
          throw new Refusal('invalid', 'bad-time', message, [{ at: 'at', message }]);
        }
        const who = { personId: person?.id ?? null, name: person?.name ?? name ?? '' };
        const { id: toldId } = await unit.insert(RecallToldRow, {
          recallId: id,
          ...who,
          how,
          at,
          byPersonId: unit.personId,
        });
        unit.about('recall', id, { told: toldId });
        return null;
      },
      onceOf(key, { id, ...body }),
    );
    return this.view(acting, id);
  }
}

async function needRecall(view: View, id: string) {
  const [recall] = await knownRecalls(view, { take: 1, id });
  if (!recall) throw new Refusal('not-found', 'not-found', `There is no recall ${id}.`);
  return recall;
}

/** Who did or released what the recall touches, and whoever else was told. */
async function peopleToTell(view: View, recallId: string, roots: readonly string[]): Promise<ConcernedDto[]> {
  const told = await toldOf(view, recallId);
  const names = await namesOf(
    view,
    told.map(({ byPersonId }) => byPersonId),
  );
  const asTold = ({ at, how, byPersonId }: RecallToldRow) => ({ at, how, byName: names.get(byPersonId) ?? '' });
  const concerned = (await peopleConcerned(view, await reachOf(view, roots))).map((person) => {
    const last = told.filter(({ personId }) => personId === person.personId).at(-1);
    return { ...person, told: last ? asTold(last) : null };
  });
  const others = told
    .filter(({ personId }) => !concerned.some((person) => person.personId === personId))
    .map((row) => ({ personId: row.personId, name: row.name, ran: 0, released: 0, told: asTold(row) }));
  return [...concerned, ...others];
}

function recalledBy({ lotId, gtin, number }: NewRecallDto): Recalled {
  if (lotId !== undefined && gtin === undefined && number === undefined) return { lotId };
  if (lotId === undefined && gtin !== undefined && number !== undefined) {
    if (endsInCheckDigit(gtin)) return { gtin: gtin.padStart(14, '0'), number };
    const message = `The last digit of "${gtin}" does not fit the others; compare it with the notice.`;
    throw new Refusal('invalid', 'check-digit', message, [{ at: 'gtin', message }]);
  }
  const message = 'Name what is recalled: either lotId of a lot in stock, or gtin and number as the notice gives them.';
  throw new Refusal('invalid', 'what-recalled', message, [{ at: 'lotId', message }]);
}
