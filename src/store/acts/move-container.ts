import type { MovementRow } from '../rows/ledger.entity.js';
import type { Unit } from '../unit.js';
import { book } from './book.js';

/** A container put into a storage place; `field` names the input that says so. */
export interface Move {
  containerId: string;
  /** Code of the place. */
  place: string;
  reason?: string;
  field: string;
}

/** Books that a container now lies in a place. */
export async function moveContainer(unit: Unit, { containerId, place, reason }: Move): Promise<MovementRow> {
  return book(unit, { kind: 'moved', containerId, micro: 0, place, ...(reason !== undefined && { reason }) });
}
