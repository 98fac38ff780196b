import { checkMovement, type MovementKind } from '../../core/ledger/movement.js';
import { USUAL_UNIT } from '../../core/ledger/amount.js';
import { localDay } from '../../core/time/zone.js';
import type { Instant } from '../../core/time/instant.js';
import { needLaboratory } from '../questions/laboratories.js';
import { onHandOf } from '../questions/ledger.js';
import { reagentsOf } from '../questions/reagents.js';
import { MovementRow } from '../rows/ledger.entity.js';
import { ContainerRow, LotRow } from '../rows/stock.entity.js';
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

/**
 * Books one movement on a container; refuses what would leave it with less than nothing. The one way into the ledger, for
 * whatever topic acts.
 */
export async function book(unit: Unit, booking: Booking): Promise<MovementRow> {
  const { kind, containerId, micro, at = unit.at } = booking;
  const container = await unit.need(ContainerRow, { id: containerId }, `container ${containerId}`);
  const lot = await unit.need(LotRow, { id: container.lotId }, `lot ${container.lotId}`);
  const declared = await declaredUnit(unit, lot.reagentCode);
  const onHand = await onHandOf(unit, containerId);
  checkMovement({ kind, micro }, { onHand, unit: declared, label: container.label });
  const { zone } = await needLaboratory(unit);
  const { runId, lotId, place, reason, shortMicro } = booking;
  return unit.insert(MovementRow, {
    kind,
    containerId,
    reagentCode: lot.reagentCode,
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
export async function declaredUnit(unit: Unit, reagentCode: string): Promise<string> {
  const [reagent] = await reagentsOf(unit, [reagentCode]);
  return reagent?.unit ?? USUAL_UNIT;
}
