import type { ContainerDto, LotDto } from '../../contract/stock.dto.js';
import { usableUntil } from '../../core/lot/expiry.js';
import { whyUnusable } from '../../core/lot/facts.js';
import type { UnusableReason } from '../../core/lot/validity.js';
import type { Instant } from '../../core/time/instant.js';
import type { KnownContainer, KnownLot } from '../../store/questions/lots.js';

export function lotView({ row, decisions, containers }: KnownLot, now: Instant): LotDto {
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
    limits: row.limits,
    usableUntil: usableUntil(row.limits),
    standing: decisions.at(-1)?.standing ?? 'quarantined',
    decisions: decisions.map(({ at, standing, reason, personId }) => ({ at, standing, reason, personId })),
    containers: containers.map((container) => containerView(container, now)),
  };
}

export function containerView({ row, acts, facts }: KnownContainer, now: Instant): ContainerDto {
  const reasons = whyUnusable(facts, facts.reagent, { at: now, uncertaintyMs: 0 }, true);
  return {
    id: row.id,
    lotId: row.lotId,
    label: row.label,
    serial: row.serial,
    size: row.size,
    state: acts.at(-1)?.state ?? 'unopened',
    states: acts.map(({ at, state, until, reason, personId }) => ({ at, state, until, reason, personId })),
    limits: facts.limits,
    usable: reasons.length === 0,
    reasons,
  };
}

/** Every reason why no container of a lot may be used for patients at an instant, whatever became of each. */
export function lotReasons({ row, decisions }: KnownLot, now: Instant): UnusableReason[] {
  const { id, number, reagentCode, limits, receivedAt } = row;
  const anyContainer = {
    id,
    label: `of lot ${number}`,
    reagent: reagentCode,
    lot: { id, number, standing: decisions },
    states: [{ at: receivedAt, state: 'opened' as const }],
    limits,
  };
  return whyUnusable(anyContainer, reagentCode, { at: now, uncertaintyMs: 0 }, true);
}
