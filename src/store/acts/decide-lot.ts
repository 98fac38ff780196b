import type { LotEvidence, LotStanding } from '../../core/lot/lot.js';
import { Refusal } from '../../core/refusal.js';
import { refuseUnfitPreparation } from '../questions/preparations.js';
import { LotActRow, LotRow } from '../rows/stock.entity.js';
import type { Unit } from '../unit.js';
import { questionReleases } from './question-releases.js';

export interface LotDecision {
  /** A recall has an act of its own. */
  standing: Exclude<LotStanding, 'recalled'>;
  reason: string;
  evidence: LotEvidence | null;
}

/** Decides on a lot; refuses what it is already, and to accept a preparation that is not fit to be. */
export async function decideLot(unit: Unit, lotId: string, { standing, reason, evidence }: LotDecision): Promise<void> {
  const lot = await unit.need(LotRow, { id: lotId }, `lot ${lotId}`);
  const acts = await unit.all(LotActRow, { lotId }, { order: { seq: 'ASC', id: 'ASC' } });
  if ((acts.at(-1)?.standing ?? 'quarantined') === standing) {
    throw new Refusal('conflict', 'unchanged', `Lot ${lot.number} is ${standing} already.`);
  }
  if (standing === 'accepted') await refuseUnfitPreparation(unit, lot);
  await unit.insert(LotActRow, { lotId, at: unit.at, personId: unit.actor.personId, standing, reason, evidence });
  if (standing === 'accepted') return;
  await questionReleases(
    unit,
    {
      cause: 'lot set aside',
      causeId: lotId,
      reason: `Lot ${lot.number} was ${standing}: ${reason}`,
      path: `/stock/${lotId}`,
    },
    { lot: lotId },
  );
}
