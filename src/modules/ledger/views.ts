import type { CountDto, MovementDto, OnHandContainerDto, OnHandDto, OpenCountDto } from '../../contract/ledger.dto.js';
import { USUAL_UNIT, quantityOf } from '../../core/ledger/amount.js';
import { isOver, valueCents } from '../../core/ledger/value.js';
import { usableUntil } from '../../core/lot/expiry.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { Quantity } from '../../core/recipe/quantity.js';
import { firstExpiredFirst } from '../../core/stock/fefo.js';
import type { Instant } from '../../core/time/instant.js';
import type { KnownCount, OpenCount } from '../../store/questions/counts.js';
import type { KnownMovement } from '../../store/questions/movements.js';
import type { ReagentStock, StockedContainer } from '../../store/questions/on-hand.js';

/** The unit of each reagent by its code. */
export type Units = ReadonlyMap<string, string>;

export function movementView(row: KnownMovement, units: Units): MovementDto {
  const unit = unitOf(units, row.reagentCode);
  const { id, seq, kind, containerId, label, lotNumber, at, day, person, runId, place, reason } = row;
  return {
    id,
    seq: Number(seq),
    kind,
    containerId,
    label,
    lotId: row.containerLotId,
    lotNumber,
    reagent: row.reagentCode,
    amount: quantityOf(row.micro, unit),
    at,
    day,
    person,
    runId,
    intoLotId: row.lotId,
    place,
    reason,
    short: row.shortMicro === null ? null : quantityOf(row.shortMicro, unit),
  };
}

export function countView(row: KnownCount, units: Units): CountDto {
  const unit = unitOf(units, row.reagentCode);
  const { id, seq, containerId, label, lotNumber, at, day, person, reason } = row;
  return {
    id,
    seq: Number(seq),
    containerId,
    label,
    lotNumber,
    reagent: row.reagentCode,
    at,
    day,
    person,
    expected: quantityOf(row.expected, unit),
    counted: quantityOf(row.counted, unit),
    variance: quantityOf(row.variance, unit),
    reason,
  };
}

export function openCountView(open: OpenCount, units: Units): OpenCountDto {
  const { containerId, label, reagent, lotNumber, since, runId, shortMicro } = open;
  const short = shortMicro === null ? null : quantityOf(shortMicro, unitOf(units, reagent));
  return { containerId, label, reagent, lotNumber, since, runId, short };
}

/** What is known beside the stock itself. */
export interface Beside {
  now: Instant;
  /** Millionths by container. */
  promised: ReadonlyMap<string, number>;
  /** Ids of the containers that should be counted. */
  countDue: ReadonlySet<string>;
}

/** The stock of one reagent with its containers in the order in which they should be taken. */
export function onHandView({ reagent, unit, containers }: ReagentStock, beside: Beside): OnHandDto {
  const shown = containers
    .map((row) => containerOnHand(row, unit, beside))
    .sort((a, b) => Number(b.view.usable) - Number(a.view.usable) || firstExpiredFirst(a.order, b.order));
  const sum = (of: (each: Shown) => number): number => shown.reduce((total, each) => total + of(each), 0);
  return {
    reagent: reagent.code,
    name: reagent.name,
    kind: reagent.kind,
    unit,
    total: quantityOf(
      sum(({ micro }) => micro),
      unit,
    ),
    usable: quantityOf(
      sum(({ micro, view }) => (view.usable ? micro : 0)),
      unit,
    ),
    promised: quantityOf(
      sum(({ view }) => beside.promised.get(view.id) ?? 0),
      unit,
    ),
    valueCents: sum(({ view }) => view.valueCents ?? 0),
    unpriced: shown.filter(({ micro, view }) => micro > 0 && view.valueCents === null).length,
    overCents: sum(({ view }) => (view.over ? (view.valueCents ?? 0) : 0)),
    containers: shown.map(({ view }) => view),
  };
}

interface Shown {
  view: OnHandContainerDto;
  micro: number;
  order: { id: string; usableUntil: Instant | null; receivedAt: Instant };
}

function containerOnHand(row: StockedContainer, unit: string, { now, promised, countDue }: Beside): Shown {
  const { id, label, lotId, lotNumber, expiry, vessel, place, countedAt, facts, receivedAt } = row;
  const until = usableUntil(facts.limits);
  // What stands unopened on the shelf may be opened; that is no reason against it here.
  const reasons = whyUnusable(facts, facts.reagent, { at: now, uncertaintyMs: 0 }, true).filter(
    ({ code }) => code !== 'not-opened',
  );
  const openedAt = facts.states.find(({ state }) => state === 'opened')?.at ?? null;
  const micro = row.onHand ?? 0;
  const quantity = (of: number | null | undefined): Quantity | null => (of == null ? null : quantityOf(of, unit));
  return {
    micro,
    order: { id, usableUntil: until, receivedAt },
    view: {
      id,
      label,
      lotId,
      lotNumber,
      expiry,
      state: openedAt === null ? 'unopened' : 'opened',
      openedAt,
      undated: openedAt === null && row.used,
      vessel,
      onHand: quantity(row.onHand),
      full: quantity(row.full),
      promised: quantity(promised.get(id)),
      usable: reasons.length === 0,
      reasons,
      usableUntil: until,
      over: isOver(until, now),
      place,
      valueCents: row.onHand === null ? null : valueCents({ micro, full: row.full, priceCents: row.priceCents }),
      countedAt,
      countDue: countDue.has(id),
    },
  };
}

function unitOf(units: Units, reagent: string): string {
  return units.get(reagent) ?? USUAL_UNIT;
}
