import { Refusal } from '../../core/refusal.js';
import { LaboratoryRow } from '../rows/laboratory.entity.js';
import type { Unit } from '../unit.js';
import type { View } from '../view.js';

/** The laboratory that is asked about; null before it was set up. */
export async function laboratoryOf(view: View): Promise<LaboratoryRow | null> {
  return (await view.ready()).findOneBy(LaboratoryRow, { id: view.laboratoryId });
}

/** All laboratories of this database, whichever the view is about. */
export async function laboratoriesHere(view: View): Promise<LaboratoryRow[]> {
  return (await view.ready()).find(LaboratoryRow, { order: { id: 'ASC' } });
}

/** Sets up the laboratory that the unit is about. */
export async function addLaboratory(unit: Unit, values: Omit<LaboratoryRow, 'id' | 'createdAt'>): Promise<void> {
  await (await unit.ready()).insert(LaboratoryRow, { ...values, id: unit.laboratoryId, createdAt: unit.at });
}

/** The laboratory that is asked about; refuses before it was set up. */
export async function needLaboratory(view: View): Promise<LaboratoryRow> {
  const found = await laboratoryOf(view);
  if (!found)
    throw new Refusal(
      'unavailable',
      'not-set-up',
      'The laboratory is not set up yet; follow the set-up link that the program printed.',
    );
  return found;
}
