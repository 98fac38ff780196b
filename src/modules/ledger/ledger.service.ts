import { Injectable } from '@nestjs/common';
import { Clock } from '../../clock.js';
import type {
  BookedDto,
  CountDto,
  CountListDto,
  CountQueryDto,
  LedgerChoiceDto,
  LedgerQueryDto,
  MovementListDto,
  NewCountDto,
  NewMovementDto,
  OnHandListDto,
  OnHandQueryDto,
  OpenCountListDto,
  WasteDto,
} from '../../contract/ledger.dto.js';
import { changeMicro, countedMicro, microOf, quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import { varianceOf } from '../../core/ledger/count.js';
import { isOver, type Unserved, wasteByMonth } from '../../core/ledger/value.js';
import { usableUntil } from '../../core/lot/expiry.js';
import { Refusal } from '../../core/refusal.js';
import { type Instant, readInstant } from '../../core/time/instant.js';
import { localDay, localMonth } from '../../core/time/zone.js';
import { book, declaredUnit } from '../../store/acts/book.js';
import { countsOf, openCounts } from '../../store/questions/counts.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { labelledContainer, onHandOf } from '../../store/questions/ledger.js';
import { countMovements, discardedBetween, type MovementChoice, movementsOf } from '../../store/questions/movements.js';
import { promisedByRuns, stockHere } from '../../store/questions/on-hand.js';
import { catalogue } from '../../store/questions/reagents.js';
import { CountRow } from '../../store/rows/ledger.entity.js';
import { Store } from '../../store/store.js';
import type { View } from '../../store/view.js';
import { type Acting, onceOf } from '../http/access.js';
import { type Beside, countView, movementView, onHandView, openCountView, type Units } from './views.js';

/** More reagents than this stand in no list of one page. */
const REAGENTS_A_PAGE = 200;

@Injectable()
export class LedgerService {
  constructor(
    private readonly store: Store,
    private readonly clock: Clock,
  ) {}

  /** Books by hand what no other act does. */
  async move(acting: Acting, containerId: string, body: NewMovementDto, key?: string): Promise<BookedDto> {
    const { kind, amount, reason } = body;
    if (kind !== 'used' && reason === undefined) {
      throw refused('reason', 'reason-missing', `say why it was ${kind}, such as "spilt" or "cloudy"`);
    }
    const id = await this.store.change(
      acting,
      `stock.${kind}`,
      async (unit) => {
        const { label, reagentCode, receivedAt } = await labelledContainer(unit, containerId);
        const at = body.at === undefined ? unit.at : readInstant(body.at);
        checkWhen(at, { now: unit.at, receivedAt, label });
        const declared = await declaredUnit(unit, reagentCode);
        const micro =
          kind === 'adjusted' ? changeMicro(amount, declared, 'amount') : 0 - microOf(amount, declared, 'amount');
        const row = await book(unit, { kind, containerId, micro, at, ...(reason !== undefined && { reason }) });
        unit.about('container', containerId, { kind, micro, movement: row.id });
        return row.id;
      },
      onceOf(key, { containerId, ...body }),
    );
    return this.store.read(acting.laboratoryId, async (view) => {
      const units = await unitsOf(view);
      const [found] = await movementsOf(view, { id }, { take: 1 });
      if (!found) throw new Error(`movement ${id} was booked and is not found`);
      const movement = movementView(found, units);
      return { movement, onHand: quantityOf(await onHandOf(view, containerId), movement.amount.unit) };
    });
  }

  /** Keeps what was counted and puts the ledger right by the difference, in one act. */
  async count(acting: Acting, containerId: string, { amount, reason }: NewCountDto, key?: string): Promise<CountDto> {
    const id = await this.store.change(
      acting,
      'stock.counted',
      async (unit) => {
        const { label, reagentCode } = await labelledContainer(unit, containerId);
        const declared = await declaredUnit(unit, reagentCode);
        const expected = await onHandOf(unit, containerId);
        const counted = countedMicro(amount, declared, 'amount');
        const variance = varianceOf({ label, unit: declared, expected, counted, reason });
        const { zone } = await needLaboratory(unit);
        const row = await unit.insert(CountRow, {
          containerId,
          reagentCode,
          at: unit.at,
          day: localDay(unit.at, zone),
          personId: unit.personId,
          expected,
          counted,
          variance,
          reason: reason ?? null,
        });
        if (variance !== 0) {
          await book(unit, { kind: 'adjusted', containerId, micro: variance, reason: reason ?? 'counted' });
        }
        unit.about('container', containerId, { count: row.id, expected, counted });
        return row.id;
      },
      onceOf(key, { containerId, amount, reason }),
    );
    return this.store.read(acting.laboratoryId, async (view) => {
      const [found] = await countsOf(view, { id }, { take: 1 });
      if (!found) throw new Error(`count ${id} was kept and is not found`);
      return countView(found, await unitsOf(view));
    });
  }

  ledger({ laboratoryId }: Acting, { take, after, skip, ...choice }: LedgerQueryDto): Promise<MovementListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const rows = await movementsOf(view, choiceOf(choice), { take, after, skip });
      const units = await unitsOf(view);
      const count = await countMovements(view, choiceOf(choice));
      return { items: rows.map((row) => movementView(row, units)), next: nextOf(rows, take), count };
    });
  }

  onHand({ laboratoryId }: Acting, query: OnHandQueryDto): Promise<OnHandListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { take } = query;
      const found = await stockHere(view, query);
      const beside = await besideOf(view, this.clock.now());
      const items = found.map((each) => onHandView(each, beside)).filter(({ containers }) => containers.length > 0);
      return { items, next: found.length === take ? (found.at(-1)?.reagent.code ?? null) : null };
    });
  }

  openCounts({ laboratoryId }: Acting): Promise<OpenCountListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const units = await unitsOf(view);
      return { items: (await openCounts(view)).map((open) => openCountView(open, units)) };
    });
  }

  counts({ laboratoryId }: Acting, { take, after, ...choice }: CountQueryDto): Promise<CountListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const { onlyVariances, ...rest } = choice;
      const rows = await countsOf(view, { ...rest, onlyVariances: onlyVariances === 'true' }, { take, after });
      const units = await unitsOf(view);
      return { items: rows.map((row) => countView(row, units)), next: nextOf(rows, take) };
    });
  }

  /** What was thrown away or is past its end, by month and reagent, with what it cost. */
  waste({ laboratoryId }: Acting, { from, to }: { from: string; to: string }): Promise<WasteDto> {
    if (from > to) throw refused('from', 'bad-span', `${from} comes after ${to}; give the earlier month first`);
    return this.store.read(laboratoryId, async (view) => {
      const thrown = await discardedBetween(view, from, to);
      const expired = (await expiredHere(view, this.clock.now())).filter(({ month }) => month >= from && month <= to);
      const known = new Map((await catalogue(view)).map((each) => [each.code, each]));
      return {
        items: wasteByMonth([...thrown, ...expired]).map(
          ({ month, reagent, discarded, expired: over, cents, unpriced }) => {
            const { name, unit = USUAL_UNIT } = known.get(reagent) ?? { name: reagent };
            return {
              month,
              reagent,
              name,
              discarded: quantityOf(discarded, unit),
              expired: quantityOf(over, unit),
              cents,
              unpriced,
            };
          },
        ),
      };
    });
  }
}

/** What is known beside the stock itself, at an instant. */
export async function besideOf(view: View, now: Instant): Promise<Beside> {
  const countDue = new Set((await openCounts(view)).map(({ containerId }) => containerId));
  return { now, promised: await promisedByRuns(view), countDue };
}

/** The unit in which each reagent is counted. */
export async function unitsOf(view: View): Promise<Units> {
  return new Map((await catalogue(view)).map(({ code, unit }) => [code, unit ?? USUAL_UNIT]));
}

export function choiceOf({ container, run, ...choice }: LedgerChoiceDto): MovementChoice {
  return { ...choice, containerId: container, runId: run };
}

/** What is left in containers past their end, by the month of the end. */
async function expiredHere(view: View, now: Instant): Promise<Unserved[]> {
  const { zone } = await needLaboratory(view);
  const parts: Unserved[] = [];
  let after: string | undefined;
  do {
    const page = await stockHere(view, { take: REAGENTS_A_PAGE, after });
    for (const { reagent, onHand, full, priceCents, facts } of page.flatMap(({ containers }) => containers)) {
      const until = usableUntil(facts.limits);
      if (onHand === null || onHand === 0 || !isOver(until, now)) continue;
      parts.push({ reagent, month: localMonth(until, zone), how: 'expired', micro: onHand, full, priceCents });
    }
    after = page.length === REAGENTS_A_PAGE ? page.at(-1)?.reagent.code : undefined;
  } while (after !== undefined);
  return parts;
}

function checkWhen(
  at: Instant,
  { now, receivedAt, label }: { now: Instant; receivedAt: Instant; label: string },
): void {
  if (at > now) throw refused('at', 'future', `${at} lies in the future; it is ${now} now`);
  if (at < receivedAt)
    throw refused(
      'at',
      'before-receipt',
      `${at} lies before the receipt of ${label} at ${receivedAt}; give a later time`,
    );
}

function nextOf(rows: readonly { id: string }[], take: number): string | null {
  return rows.length === take ? (rows.at(-1)?.id ?? null) : null;
}

function refused(at: string, code: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
