import { type ChainFault, GENESIS, linkFault } from '../../core/record/record.js';
import { HeadRow } from '../rows/record.entity.js';
import type { Store } from '../store.js';
import { entriesAfter } from './entries.js';

const AT_A_TIME = 500;

/**
 * The first fault of a laboratory's chain from its first entry to the one that its head names, or null when all of it
 * holds. Reads in pieces, beside running acts; what they append meanwhile is left for the next check.
 */
export async function recordFault(store: Store, laboratoryId: string): Promise<ChainFault | null> {
  const head = (await store.read(laboratoryId, (view) => view.one(HeadRow, {}))) ?? { seq: 0, hash: GENESIS };
  let previous = { seq: 0, hash: GENESIS };
  while (previous.seq < head.seq) {
    const { seq } = previous;
    const links = await store.read(laboratoryId, (view) =>
      entriesAfter(view, seq, Math.min(AT_A_TIME, head.seq - seq)),
    );
    if (links.length === 0) {
      return {
        seq: seq + 1,
        code: 'gap',
        message: `the record ends with entry ${seq}, but entry ${head.seq} had been written`,
      };
    }
    for (const link of links) {
      const fault = linkFault(previous, link);
      if (fault) return fault;
      previous = link;
    }
  }
  if (previous.hash !== head.hash) {
    return {
      seq: head.seq,
      code: 'changed',
      message: `entry ${head.seq} is not the one that was written last: its hash is another`,
    };
  }
  return null;
}
