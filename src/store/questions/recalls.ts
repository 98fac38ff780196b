import { In, LessThan } from 'typeorm';
import type { LotStanding } from '../../core/lot/lot.js';
import { LookbackRow, RecallLotRow, RecallRow, RecallToldRow } from '../rows/lookback.entity.js';
import { PersonRow } from '../rows/people.entity.js';
import { LotActRow } from '../rows/stock.entity.js';
import type { View } from '../view.js';
import { asked, type Reach, usesOf } from './trace/reach.js';

/** Where each of these lots stands now; one without a decision is left out. */
export async function standingsOf(view: View, lotIds: readonly string[]): Promise<Map<string, LotStanding>> {
  const acts = await view.all(LotActRow, { lotId: In([...lotIds]) }, { order: { at: 'ASC', seq: 'ASC', id: 'ASC' } });
  return new Map(acts.map(({ lotId, standing }) => [lotId, standing]));
}

/** A recall with the lots that it set aside. */
export interface KnownRecall {
  row: RecallRow;
  shipments: string[];
  preparations: string[];
  lookbackId: string;
}

/** Recalls, newest first, at most `take`, before the recall `after` in that order. */
export async function knownRecalls(
  view: View,
  { take, after, id }: { take: number; after?: string | undefined; id?: string },
): Promise<KnownRecall[]> {
  const where = id !== undefined ? { id } : after === undefined ? {} : { id: LessThan(after) };
  const rows = await view.all(RecallRow, where, { order: { id: 'DESC' }, take });
  const recallId = In(rows.map((row) => row.id));
  const lots = await view.all(RecallLotRow, { recallId }, { order: { seq: 'ASC', id: 'ASC' } });
  const lookbacks = await view.all(LookbackRow, { cause: 'lot recalled', causeId: recallId });
  const of = (row: RecallRow, part: RecallLotRow['part']): string[] =>
    lots.filter((lot) => lot.recallId === row.id && lot.part === part).map(({ lotId }) => lotId);
  return rows.map((row) => ({
    row,
    shipments: of(row, 'shipment'),
    preparations: of(row, 'preparation'),
    lookbackId: lookbacks.find(({ causeId }) => causeId === row.id)?.id ?? '',
  }));
}

/** A person who must know of a recall, and why. */
export interface Concerned {
  personId: string;
  name: string;
  ran: number;
  released: number;
}

/** Who did runs that lots reach, or released what came of them, by name. */
export async function peopleConcerned(view: View, reach: Reach): Promise<Concerned[]> {
  const { head, parameters } = usesOf(reach);
  const ran = await asked<{ personId: string; count: number | string }>(
    view,
    `${head} SELECT run.person_id AS "personId", COUNT(DISTINCT run.id) AS count FROM uses
      JOIN run ON run.id = uses.run_id GROUP BY run.person_id`,
    parameters,
  );
  const released = await asked<{ personId: string; count: number | string }>(
    view,
    `${head} SELECT record_entry.person_id AS "personId", COUNT(DISTINCT release.id) AS count
      FROM (SELECT DISTINCT run_id FROM uses) seen JOIN release ON release.run_id = seen.run_id
      JOIN record_entry ON record_entry.laboratory_id = release.laboratory_id AND record_entry.seq = release.seq
      WHERE record_entry.person_id IS NOT NULL GROUP BY record_entry.person_id`,
    parameters,
  );
  const ids = [...new Set([...ran, ...released].map(({ personId }) => personId))];
  const people = await view.all(PersonRow, { id: In(ids) });
  const countIn = (rows: typeof ran, id: string): number =>
    Number(rows.find(({ personId }) => personId === id)?.count ?? 0);
  return people
    .map(({ id, name }) => ({ personId: id, name, ran: countIn(ran, id), released: countIn(released, id) }))
    .sort((a, b) => (a.name < b.name ? -1 : 1));
}

/** Who was told of a recall, in the order in which it was recorded. */
export function toldOf(view: View, recallId: string): Promise<RecallToldRow[]> {
  return view.all(RecallToldRow, { recallId }, { order: { seq: 'ASC', id: 'ASC' } });
}

/** Names of people by id. */
export async function namesOf(view: View, ids: readonly (string | null)[]): Promise<Map<string, string>> {
  const rows = await view.all(PersonRow, { id: In([...new Set(ids.flatMap((id) => id ?? []))]) });
  return new Map(rows.map(({ id, name }) => [id, name]));
}
