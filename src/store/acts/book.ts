import { USUAL_UNIT } from '../../core/ledger/amount.js';
import type { MovementKind } from '../../core/ledger/kinds.js';
import { checkMovement } from '../../core/ledger/movement.js';
import type { Instant } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import { needLaboratory } from '../questions/laboratories.js';
import { heldBefore, labelledContainer } from '../questions/ledger.js';
import { reagentsOf } from '../questions/reagents.js';
import { BalanceRow, MovementRow } from '../rows/ledger.entity.js';
import { ReagentRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';

/** A movement that an act books. */
export interface Booking {
  kind: MovementKind;
  containerId: string;
  /** Signed amount in millionths of the reagent's declared unit. */
  micro: number;
  /** When it happened; the act's own instant when left out. */
  at?: Instant;
  runId?: string;
  /** The preparation or bath that it was taken into. */
  lotId?: string;
  place?: string;
  reason?: string;
  shortMicro?: number;
}

/** After so many movements since a container's last balance a new one is kept, so that no sum grows long. */
export const MOVEMENTS_A_BALANCE = 100;

/**
 * Books one movement on a container; refuses what would leave it with less than nothing. The one way into the ledger, for
 * whatever topic acts. One query, once the container and its reagent are known.
 */
export async function book(unit: Unit, booking: Booking): Promise<MovementRow> {
  const { kind, containerId, micro, at = unit.at } = booking;
  const { label, reagentCode } = await labelledContainer(unit, containerId);
  const declared = await declaredUnit(unit, reagentCode);
  const { onHand, before, since } = await heldBefore(unit, containerId, unit.seq);
  const { runId, lotId, place, reason, shortMicro } = booking;
  checkMovement({ kind, micro, ...(shortMicro !== undefined && { shortMicro }) }, { onHand, unit: declared, label });
  if (since >= MOVEMENTS_A_BALANCE) await unit.insert(BalanceRow, { containerId, upTo: unit.seq - 1, micro: before });
  // The zone is set once, when the laboratory is set up.
  const { zone } = await unit.recall('laboratory', () => needLaboratory(unit));
  return unit.insert(MovementRow, {
    kind,
    containerId,
    reagentCode,
    micro,
    at,
    day: localDay(at, zone),
    personId: unit.actor.personId,
    runId: runId ?? null,
    lotId: lotId ?? null,
    place: place ?? null,
    reason: reason ?? null,
    shortMicro: shortMicro ?? null,
  });
}

/** The UCUM unit in which the ledger counts a reagent. */
export function declaredUnit(unit: Unit, reagentCode: string): Promise<string> {
  return unit.recallLive(`unit of ${reagentCode}`, [ReagentRow], async () => {
    const [reagent] = await reagentsOf(unit, [reagentCode]);
    return reagent?.unit ?? USUAL_UNIT;
  });
}
