import { In } from 'typeorm';
import type { HoldKind } from '../../core/lot/lot.js';
import { type ExcursionSpan, type Reading, type Stay } from '../../core/storage/excursion.js';
import type { Place } from '../../core/storage/place.js';
import type { Stored } from '../../core/storage/put-away.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { ExcursionEndRow, ExcursionRow, PlaceRow, type TemperatureRow } from '../rows/places.entity.js';
import type { View } from '../view.js';
import { reagentsOf } from './reagents.js';

/** The storage places as they stand now, in the order of their codes. */
export async function placesOf(view: View): Promise<PlaceRow[]> {
  const rows = await view.all(PlaceRow, {}, { order: { code: 'ASC', seq: 'ASC', id: 'ASC' } });
  return [...new Map(rows.map((row) => [row.code, row])).values()];
}

/**
 * A storage place by its code; refuses one that is not there, naming those that are. `field` names the
 * input; null for an address.
 */
export async function needPlace(view: View, code: string, field: string | null): Promise<Place> {
  const places = await placesOf(view);
  const found = places.find((each) => each.code === code);
  if (found) return found;
  const known = places.map((each) => each.code).slice(0, 10);
  const right = known.length > 0 ? `it would be one of ${known.join(', ')}` : 'set one up first';
  const message = `There is no storage place ${code}; ${right}.`;
  if (field === null) throw new Refusal('not-found', 'not-found', message);
  throw new Refusal('invalid', 'unknown-place', message, [{ at: field, message }]);
}

/** Containers that are neither emptied nor discarded. */
const HERE = `NOT EXISTS (SELECT 1 FROM container_act gone WHERE gone.container_id = container.id
  AND gone.state IN ('emptied', 'discarded'))`;

/** The movement that put a container where it is. */
const LAST = `NOT EXISTS (SELECT 1 FROM movement later WHERE later.container_id = put.container_id AND later.place IS NOT NULL
  AND (later.seq > put.seq OR (later.seq = put.seq AND later.id > put.id)))`;

/** A container that lies in a place. */
export interface Lying {
  id: string;
  label: string;
  reagent: string;
  lotId: string;
  place: string;
  /** When it was put there. */
  since: Instant;
}

/** What lies where now, of one place when it is named, by their labels. */
export async function lyingIn(view: View, place?: string): Promise<Lying[]> {
  return (await (
    await view.ready()
  ).query(
    `SELECT container.id, container.label, lot.reagent_code AS reagent, lot.id AS "lotId", put.place, put.at AS since
      FROM movement put JOIN container ON container.id = put.container_id JOIN lot ON lot.id = container.lot_id
      WHERE put.laboratory_id = $1 AND ${place === undefined ? 'put.place IS NOT NULL' : 'put.place = $2'} AND ${LAST} AND ${HERE}
      ORDER BY container.label`,
    [view.laboratoryId, ...(place === undefined ? [] : [place])],
  )) as Lying[];
}

/** Code of the place in which each of these containers lies, for those that were ever put into one. */
export async function whereabouts(view: View, containerIds: readonly string[]): Promise<Map<string, string>> {
  if (containerIds.length === 0) return new Map();
  const ids = containerIds.map((_, n) => `$${n + 2}`).join(', ');
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT put.container_id AS id, put.place FROM movement put
      WHERE put.laboratory_id = $1 AND put.place IS NOT NULL AND put.container_id IN (${ids}) AND ${LAST}`,
    [view.laboratoryId, ...containerIds],
  )) as { id: string; place: string }[];
  return new Map(rows.map(({ id, place }) => [id, place]));
}

/** What lies in a place, with what the catalogue says of it. */
export async function storedIn(view: View, place: string): Promise<(Stored & { id: string })[]> {
  const lying = await lyingIn(view, place);
  const reagents = new Map(
    (await reagentsOf(view, [...new Set(lying.map(({ reagent }) => reagent))])).map((each) => [each.code, each]),
  );
  return lying.flatMap(({ id, label, reagent: code }) => {
    const reagent = reagents.get(code);
    return reagent ? [{ id, label, reagent }] : [];
  });
}

/** Every stay of a container in a place; it ends when the container is moved on, emptied or discarded. */
export async function staysIn(view: View, place: string): Promise<Stay[]> {
  const values = [view.laboratoryId, place];
  const manager = await view.ready();
  const moves = (await manager.query(
    `SELECT put.container_id AS "containerId", put.place, put.at FROM movement put
      WHERE put.laboratory_id = $1 AND put.place IS NOT NULL AND put.container_id IN
        (SELECT own.container_id FROM movement own WHERE own.laboratory_id = $1 AND own.place = $2)
      ORDER BY put.container_id, put.seq, put.id`,
    values,
  )) as { containerId: string; place: string; at: Instant }[];
  const gone = (await manager.query(
    `SELECT act.container_id AS "containerId", MIN(act.at) AS at FROM container_act act
      WHERE act.laboratory_id = $1 AND act.state IN ('emptied', 'discarded') AND act.container_id IN
        (SELECT own.container_id FROM movement own WHERE own.laboratory_id = $1 AND own.place = $2)
      GROUP BY act.container_id`,
    values,
  )) as { containerId: string; at: Instant }[];
  const over = new Map(gone.map(({ containerId, at }) => [containerId, at]));
  return moves.flatMap(({ containerId, place: into, at }, n): Stay[] => {
    if (into !== place) return [];
    const next = moves[n + 1];
    const moved = next?.containerId === containerId ? next.at : null;
    return [{ containerId, from: at, until: moved ?? over.get(containerId) ?? null }];
  });
}

/** An excursion with its end. */
export type KnownExcursion = ExcursionSpan & Pick<ExcursionRow, 'id' | 'place' | 'min' | 'max'>;

/** Excursions, of one place when it is named, the latest first. */
export async function excursionsOf(view: View, place?: string): Promise<KnownExcursion[]> {
  const rows = await view.all(ExcursionRow, place === undefined ? {} : { place }, {
    order: { since: 'DESC', id: 'DESC' },
  });
  const ends = await view.all(ExcursionEndRow, { excursionId: In(rows.map(({ id }) => id)) });
  const until = new Map(ends.map((end) => [end.excursionId, end.until]));
  return rows.map(({ id, place: where, since, min, max }) => ({
    id,
    place: where,
    min,
    max,
    from: since,
    until: until.get(id) ?? null,
  }));
}

/** Readings of a place from an instant on, in their order. */
export async function readingsFrom(view: View, place: string, from: Instant): Promise<Reading[]> {
  const rows = (await (
    await view.ready()
  ).query('SELECT readings FROM temperature WHERE laboratory_id = $1 AND place = $2 AND until >= $3', [
    view.laboratoryId,
    place,
    from,
  ])) as Pick<TemperatureRow, 'readings'>[] | { readings: string }[];
  return rows
    .flatMap(({ readings }) => (typeof readings === 'string' ? (JSON.parse(readings) as Reading[]) : readings))
    .filter(({ at }) => at >= from)
    .sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
}

/** The latest reading of each place that has one. */
export async function latestReadings(view: View): Promise<Map<string, Reading>> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT place, readings FROM temperature WHERE laboratory_id = $1 AND NOT EXISTS (SELECT 1 FROM temperature later
      WHERE later.laboratory_id = temperature.laboratory_id AND later.place = temperature.place
        AND (later.until > temperature.until OR (later.until = temperature.until AND later.id > temperature.id)))`,
    [view.laboratoryId],
  )) as { place: string; readings: string }[];
  return new Map(
    rows.flatMap(({ place, readings }): [string, Reading][] => {
      const last = (JSON.parse(readings) as Reading[]).at(-1);
      return last ? [[place, last]] : [];
    }),
  );
}

/** A hold that waits for a person. */
export interface OpenHold {
  id: string;
  containerId: string;
  label: string;
  lotId: string;
  lotNumber: string;
  reagent: string;
  kind: HoldKind;
  at: Instant;
  reason: string;
  causeId: string | null;
}

/** Holds that nobody has decided, the oldest first. */
export async function undecidedHolds(view: View): Promise<OpenHold[]> {
  return (await (
    await view.ready()
  ).query(
    `SELECT hold.id, hold.container_id AS "containerId", container.label, lot.id AS "lotId", lot.number AS "lotNumber",
        lot.reagent_code AS reagent, hold.kind, hold.at, hold.reason, hold.cause_id AS "causeId"
      FROM hold JOIN container ON container.id = hold.container_id JOIN lot ON lot.id = container.lot_id
      WHERE hold.laboratory_id = $1 AND NOT EXISTS (SELECT 1 FROM hold_end WHERE hold_end.hold_id = hold.id) AND ${HERE}
      ORDER BY hold.at, hold.seq, hold.id`,
    [view.laboratoryId],
  )) as OpenHold[];
}
