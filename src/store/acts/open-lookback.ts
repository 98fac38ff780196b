import type { LookbackCause } from '../../core/lookback/lookback.js';
import { LookbackRow } from '../rows/lookback.entity.js';
import type { Unit } from '../unit.js';

/** Opens a question on earlier work, in the unit of what raised it. */
export function openLookback(
  unit: Unit,
  { cause, causeId, reason }: { cause: LookbackCause; causeId: string; reason: string },
): Promise<LookbackRow> {
  return unit.insert(LookbackRow, { cause, causeId, at: unit.at, personId: unit.actor.personId, reason });
}
