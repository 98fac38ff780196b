import type { ContainerDto, LotDto } from '../../contract/stock.dto.js';
import { quantityOf } from '../../core/ledger/amount.js';
import { usableUntil } from '../../core/lot/expiry.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { UnusableReason } from '../../core/lot/validity.js';
import type { Instant } from '../../core/time/instant.js';
import type { KnownContainer, KnownLot } from '../../store/questions/lots.js';

export function lotView(lot: KnownLot, now: Instant): LotDto {
  const { row, decisions, containers, unit, shipments } = lot;
  return {
    id: row.id,
    reagent: row.reagentCode,
    number: row.number,
    gtin: row.gtin,
    origin: row.origin,
    source: row.source,
    receivedAt: row.receivedAt,
    expiry: row.expiry,
    openedLife: row.openedLife,
    strength: row.strength,
    storage: row.storage,
    expirySetHere: row.expirySetHere === true,
    intendedUse: row.intendedUse,
    kit: row.kit,
    kitLot: row.kitLot,
    orderId: row.orderId,
    priceCents: row.priceCents,
    shipments,
    limits: row.limits,
    usableUntil: usableUntil(row.limits),
    standing: decisions.at(-1)?.standing ?? 'quarantined',
    decisions: decisions.map(({ at, standing, reason, personId, evidence }) => ({
      ...{ at, standing, reason, personId, evidence },
    })),
    containers: containers.map((container) => containerView(container, unit, now)),
  };
}

export function containerView(container: KnownContainer, unit: string, now: Instant): ContainerDto {
  const { row, acts, facts, holds, place, onHand, water } = container;
  const reasons = whyUnusable(facts, facts.reagent, { at: now, uncertaintyMs: 0 }, true);
  return {
    id: row.id,
    lotId: row.lotId,
    label: row.label,
    serial: row.serial,
    size: row.size,
    state: acts.at(-1)?.state ?? 'unopened',
    place,
    onHand: onHand === null ? null : quantityOf(onHand, unit),
    full: row.micro === null ? null : quantityOf(row.micro, unit),
    holds: holds.map(({ row: { id, kind, at, reason }, end }) => ({
      ...{ id, kind, at, reason },
      usable: end?.usable ?? null,
      decidedAt: end?.at ?? null,
      why: end?.reason ?? null,
      personId: end?.personId ?? null,
    })),
    waterCheckDue: water?.due ?? null,
    states: acts.map(({ at, state, until, reason, personId }) => ({ at, state, until, reason, personId })),
    limits: facts.limits,
    usable: reasons.length === 0,
    reasons,
  };
}

/** Every reason why no container of a lot may be used for patients at an instant, whatever became of each. */
export function lotReasons({ row, decisions }: KnownLot, now: Instant): UnusableReason[] {
  const { id, number, reagentCode, limits, receivedAt, intendedUse } = row;
  const verifiedAt = decisions
    .filter(({ standing, evidence }) => standing === 'accepted' && evidence?.kind === 'verification')
    .map(({ at }) => at);
  const anyContainer = {
    id,
    label: `of lot ${number}`,
    reagent: reagentCode,
    lot: { id, number, standing: decisions, verifiedAt, ...(intendedUse !== null && { intendedUse }) },
    states: [{ at: receivedAt, state: 'opened' as const }],
    limits,
  };
  return whyUnusable(anyContainer, reagentCode, { at: now, uncertaintyMs: 0 }, true);
}
