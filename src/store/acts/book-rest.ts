import type { MovementRow } from '../rows/ledger.entity.js';
import { onHandOf } from '../questions/ledger.js';
import type { Unit } from '../unit.js';
import { book } from './book.js';

/** How a container came to its end: what the ledger still holds was thrown away with it, or was not there any more. */
export interface End {
  containerId: string;
  how: 'emptied' | 'discarded';
  at: string;
  reason?: string | undefined;
}

/**
 * Books what the ledger still holds of a container that was emptied or discarded, so that nothing is on hand that is not
 * there; nothing when it holds nothing.
 */
export async function bookRest(unit: Unit, { containerId, how, at, reason }: End): Promise<MovementRow | null> {
  const left = await onHandOf(unit, containerId);
  if (left === 0) return null;
  const kind = how === 'discarded' ? 'discarded' : 'adjusted';
  const why = reason ?? (how === 'emptied' ? 'found empty' : undefined);
  return book(unit, { kind, containerId, micro: 0 - left, at, ...(why !== undefined && { reason: why }) });
}
