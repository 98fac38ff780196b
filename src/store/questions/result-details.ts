import { In } from 'typeorm';
import type { Protocol } from '../../core/protocol/protocol.js';
import { RevisionRow } from '../rows/protocols.entity.js';
import { LotRow } from '../rows/stock.entity.js';
import type { ControlResult } from '../../core/controls/result.js';
import type { View } from '../view.js';
import { namesOf } from './people.js';
import { subjectsOf } from './subjects.js';

/** What stands beside results on a page. */
export interface ResultDetails {
  /** Protocols by id, as the revision of a result or the latest one says. */
  protocols: Map<string, Protocol>;
  /** Text of a control's label by its id. */
  labels: Map<string, string>;
  /** Names of people by id. */
  names: Record<string, string>;
}

/** Titles, labels and names for results, a few queries however many there are. */
export async function resultDetails(view: View, results: readonly ControlResult[]): Promise<ResultDetails> {
  const revisionIds = [...new Set(results.flatMap(({ revisionId }) => revisionId ?? []))];
  const alone = [
    ...new Set(results.filter(({ revisionId }) => revisionId === null).map(({ protocolId }) => protocolId)),
  ];
  const revisions = [
    ...(await view.all(RevisionRow, { protocolId: In(alone) }, { order: { number: 'ASC' } })),
    ...(await view.all(RevisionRow, { id: In(revisionIds) }, { order: { number: 'ASC' } })),
  ];
  const subjects = await subjectsOf(view, [...new Set(results.flatMap(({ subjectId }) => subjectId ?? []))]);
  return {
    protocols: new Map(revisions.map(({ protocolId, content }) => [protocolId, content])),
    labels: new Map(subjects.map(({ id, label }) => [id, label])),
    names: await namesOf(
      view,
      results.flatMap(({ readings }) => readings.map(({ personId }) => personId)),
    ),
  };
}

/** Numbers and sources of lots by id. */
export async function lotNames(
  view: View,
  ids: readonly string[],
): Promise<Map<string, Pick<LotRow, 'number' | 'source'>>> {
  const lots = await view.all(LotRow, { id: In([...new Set(ids)]) });
  return new Map(lots.map((lot) => [lot.id, lot]));
}
