import { In, LessThanOrEqual } from 'typeorm';
import type { RevisionHistory } from '../../core/protocol/lifecycle.js';
import { RevisionActRow, RevisionRow } from '../rows/protocols.entity.js';
import { ALL_KNOWN } from './containers.js';
import type { View } from '../view.js';

/** A revision with what was decided about it, in the order of the record. */
export interface KnownRevision extends RevisionHistory {
  row: RevisionRow;
  acts: RevisionActRow[];
}

/** All revisions of one protocol, or of every protocol, by protocol and number; with acts up to a record number. */
export async function knownRevisions(
  view: View,
  protocolId?: string,
  upToSeq: number = ALL_KNOWN,
): Promise<KnownRevision[]> {
  const known = { seq: LessThanOrEqual(upToSeq) };
  const rows = await view.all(
    RevisionRow,
    { ...known, ...(protocolId === undefined ? {} : { protocolId }) },
    { order: { protocolId: 'ASC', number: 'ASC' } },
  );
  const acts = await view.all(
    RevisionActRow,
    { ...known, ...(protocolId === undefined ? {} : { revisionId: In(rows.map(({ id }) => id)) }) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  return rows.map((row) => ({ id: row.id, row, acts: acts.filter(({ revisionId }) => revisionId === row.id) }));
}
