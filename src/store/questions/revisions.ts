import { In } from 'typeorm';
import type { RevisionActData, RevisionActKind, RevisionHistory } from '../../core/protocol/lifecycle.js';
import type { Instant } from '../../core/time/instant.js';
import { RevisionActRow, RevisionRow } from '../rows/protocols.entity.js';
import { ALL_KNOWN } from './containers.js';
import type { View } from '../view.js';

/** A revision with what was decided about it, in the order of the record. */
export interface KnownRevision extends RevisionHistory {
  row: RevisionRow;
  acts: RevisionActRow[];
}

/** A revision with its content; refuses when there is none. */
export function revisionOf(view: View, id: string): Promise<RevisionRow> {
  return view.recall(`revision ${id}`, () => view.need(RevisionRow, { id }, `revision ${id}`));
}

/** What was decided about each revision of a protocol, from acts up to a record number; without their contents. */
export function revisionHistories(view: View, protocolId: string, upToSeq?: number): Promise<RevisionHistory[]> {
  if (upToSeq !== undefined) return loadHistories(view, protocolId, upToSeq);
  return view.recallLive(`histories ${protocolId}`, [RevisionRow, RevisionActRow], () =>
    loadHistories(view, protocolId, ALL_KNOWN),
  );
}

async function loadHistories(view: View, protocolId: string, upToSeq: number): Promise<RevisionHistory[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT revision.id, act.kind, act.at, act.seq, act.data FROM revision
      JOIN revision_act act ON act.revision_id = revision.id AND act.seq <= $1
      WHERE revision.laboratory_id = $2 AND revision.protocol_id = $3 AND revision.seq <= $1
      ORDER BY act.seq, act.id`,
    // SQLite numbers them by their first place in the text.
    [upToSeq, view.laboratoryId, protocolId],
  )) as { id: string; kind: RevisionActKind; at: Instant; seq: number; data: string }[];
  const histories = new Map<string, RevisionHistory>();
  for (const { id, kind, at, seq, data } of rows) {
    const history = histories.get(id) ?? { id, acts: [] };
    history.acts.push({ kind, at, seq, data: JSON.parse(data) as RevisionActData });
    histories.set(id, history);
  }
  return [...histories.values()];
}

/** All revisions of one protocol, or of every protocol, by protocol and number. */
export async function knownRevisions(view: View, protocolId?: string): Promise<KnownRevision[]> {
  const rows = await view.all(RevisionRow, protocolId === undefined ? {} : { protocolId }, {
    order: { protocolId: 'ASC', number: 'ASC' },
  });
  const acts = await view.all(
    RevisionActRow,
    protocolId === undefined ? {} : { revisionId: In(rows.map(({ id }) => id)) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  return rows.map((row) => ({ id: row.id, row, acts: acts.filter(({ revisionId }) => revisionId === row.id) }));
}
